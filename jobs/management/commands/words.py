"""Print every text that somebody reads, to be read aloud."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from jobs.management.messages import messages


class Command(BaseCommand):
    help = "Print every text of screens, mails and papers, a line each, by file."

    def handle(self, *args: Any, **options: Any) -> None:
        file = ""
        for message in messages(settings.BASE_DIR):
            if message.file != file:
                file = message.file
                self.stdout.write(f"\n{file}")
            one = " ".join(message.one.split())
            self.stdout.write(f"  {one}" + (f"  |  {' '.join(message.many.split())}" if message.many else ""))
