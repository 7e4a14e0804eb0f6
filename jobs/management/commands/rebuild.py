"""Rebuild the state tables from the log."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.log.rebuild import BATCH, MOST_SHOWN, compare, rebuild


class Command(BaseCommand):
    help = "Rebuild every state table from the log; with --check only compare, and fail on a difference."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="compare, change nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["check"]:
            self.stdout.write(f"rebuilt from {rebuild(self.progress)} events")
            return
        differences = compare(self.progress)
        for difference in differences[:MOST_SHOWN]:
            self.stderr.write(str(difference))
        if differences:
            raise CommandError(f"{len(differences)} rows differ from the log")
        self.stdout.write("every state table is what the log says")

    def progress(self, count: int, whole: int) -> None:
        """Show the progress in place of the earlier one."""
        self.stderr.write(f"\r{count} of {whole} events", ending="" if count + BATCH <= whole else "\n")
        self.stderr.flush()
