"""Make the owner on the first start."""

import secrets
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from jobs.domain.workshop.accounts import add_person
from jobs.models import Person
from jobs.models.people import Role


class Command(BaseCommand):
    help = "Make the owner if nobody works here yet, and print the password once."

    def handle(self, *args: Any, **options: Any) -> None:
        if Person.objects.exists():
            return
        given = settings.OWNER_PASSWORD
        password = given or secrets.token_urlsafe(12)
        add_person(username="owner", password=password, role=Role.OWNER, email=settings.OWNER_EMAIL)
        shown = "as set by SHOP_OWNER_PASSWORD" if given else password
        self.stdout.write(f"Sign in as: owner   password: {shown}")
