"""Import an exported folder into an empty log."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.core.errors import ShopError
from jobs.domain.reminders.pending import skip_past_due
from jobs.log.transfer import import_from


class Command(BaseCommand):
    help = "Bring an exported folder into an empty log: verified first, nothing is sent."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            trailer = import_from(options["folder"], now=timezone.now(), settle=skip_past_due)
        except ShopError as refused:
            raise CommandError(f"{refused.detail} ({refused.field}: {refused.value})") from refused
        except OSError as problem:
            raise CommandError(f"nothing was imported: {problem.strerror} ({problem.filename})") from problem
        self.stdout.write(f"{trailer['count']} events imported")
