"""Make an API token for a person."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.core.errors import ShopError
from jobs.domain.workshop.accounts import make_token
from jobs.models import Person
from jobs.models.people import Scope


class Command(BaseCommand):
    help = "Make a token for the API and print it, this once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--label", default="command line")
        parser.add_argument(
            "--sensor", action="store_true", help="it hands in readings and opens nothing else"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["username"], is_active=True).first()
        if person is None:
            raise CommandError(f"nobody active signs in as {options['username']!r}")
        try:
            scope = Scope.READINGS if options["sensor"] else Scope.PERSON
            _, text = make_token(person, label=options["label"], now=timezone.now(), scope=scope)
        except ShopError as refused:
            raise CommandError(f"{refused.detail} ({refused.field}: allowed {refused.allowed})") from refused
        self.stdout.write(text)
