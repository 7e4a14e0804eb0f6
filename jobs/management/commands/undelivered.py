"""List reminders that could not be sent."""

from typing import Any

from django.core.management.base import BaseCommand

from jobs.domain.checks import clock
from jobs.domain.reminders.queries import undelivered


class Command(BaseCommand):
    help = "List reminders that could not be sent by mail or push, with the reason."

    def handle(self, *args: Any, **options: Any) -> None:
        for row in undelivered():
            then = "given up" if row["given_up"] else f"next try {clock(row['next_at'])}"
            self.stdout.write(
                f"{row['piece']} {row['title']} ({row['kind']}) for {row['person']} by {row['channel']}, "
                f"due {clock(row['due_at'])}: {row['error']}; {row['tries']} tries, {then}"
            )
