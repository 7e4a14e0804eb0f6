"""Empty a demo shop."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.core.errors import ShopError
from jobs.domain.workshop.demo import leave_demo


class Command(BaseCommand):
    help = "Empty a demo shop, all but the owner; a shop at work is left alone."

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            leave_demo()
        except ShopError as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write("The demo is gone; the shop is empty.")
