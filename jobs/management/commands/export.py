"""Export everything to a folder."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.core.errors import ShopError
from jobs.domain.overviews import service_health
from jobs.log.transfer import default_folder, export_to


class Command(BaseCommand):
    help = (
        "Write the log and all that stands beside it to a new folder. It holds personal data: keep it safe."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", nargs="?", type=Path)
        parser.add_argument(
            "--leave-out-damaged", action="store_true", help="go on without files that are missing or altered"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        folder = options["folder"] or default_folder(timezone.localtime())
        try:
            trailer = export_to(folder, leave_out_damaged=options["leave_out_damaged"])
        except ShopError as refused:
            raise CommandError(refused.detail) from refused
        except OSError as problem:
            raise CommandError(f"nothing was exported: {problem.strerror} ({folder})") from problem
        for what in trailer["left_out"]:
            self.stderr.write(f"left out: {what}")
        service_health.beat(service_health.EXPORT, now=timezone.now(), said={"events": trailer["count"]})
        self.stdout.write(f"{trailer['count']} events exported to {folder}")
