"""Make an API token for a person."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.errors import ShopError
from jobs.models import Person
from jobs.people import make_token


class Command(BaseCommand):
    help = "Make a token for the API and print it, this once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--label", default="command line")

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["username"], is_active=True).first()
        if person is None:
            raise CommandError(f"nobody active signs in as {options['username']!r}")
        try:
            _, text = make_token(person, label=options["label"], now=timezone.now())
        except ShopError as refused:
            raise CommandError(f"{refused.detail} ({refused.field}: allowed {refused.allowed})") from refused
        self.stdout.write(text)
