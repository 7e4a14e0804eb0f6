"""Thin old readings of temperature and humidity."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from jobs.domain.checks import clock
from jobs.domain.climate.retention import downsample, thinned_until


class Command(BaseCommand):
    help = "Thin readings older than 60 days, and than every running wait, to one an hour of each source."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="only say how many")

    def handle(self, *args: Any, **options: Any) -> None:
        now, dry = timezone.now(), options["dry_run"]
        gone = downsample(now=now, only_count=dry)
        until = clock(thinned_until(now))
        self.stdout.write(f"{gone} readings before {until} {'would go' if dry else 'are gone'}")
