"""Django's own command, which also reads the titles that calculations and their figures have in `calcs`."""

from typing import Any

from django.conf import settings
from django.core.management.commands import makemessages

from jobs.management.messages import TITLED

HERE = str(settings.BASE_DIR / "jobs" / "locale")


class Command(makemessages.Command):
    xgettext_options = [*makemessages.Command.xgettext_options, *(f"--keyword={name}:1" for name in TITLED)]

    def process_files(self, file_list: list[Any]) -> None:
        """Keep all messages in one place; Django would write those of `calcs` into the shop's own folder."""
        for file in file_list:
            file.locale_dir = HERE
        super().process_files(file_list)
