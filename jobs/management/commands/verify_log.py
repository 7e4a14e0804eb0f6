"""Check the chain of the log."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.errors import LogBroken
from jobs.log import verify_log


class Command(BaseCommand):
    help = "Verify every event's hash and the chain; names the first broken event and fails."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            verified = verify_log()
        except LogBroken as broken:
            raise CommandError(broken.detail) from broken
        self.stdout.write(f"{verified.count} events, the chain holds, head {verified.head_hash[:16]}")
