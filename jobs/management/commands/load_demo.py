"""Load the demo shop into an empty log: all of it or nothing."""

import secrets
from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from jobs.domain.reminders.pending import skip_past_due
from jobs.domain.workshop.accounts import add_person, change_person
from jobs.management.demo import load_story, play
from jobs.models import Event, Person
from jobs.models.people import Role


class Command(BaseCommand):
    help = "Play the demo shop into an empty log; does nothing where there are events already."

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        if Event.objects.exists():
            self.stdout.write("The log is not empty: the demo is not loaded.")
            return
        owner = Person.objects.filter(role=Role.OWNER).order_by("id").first()
        if owner is None:
            owner = add_person(username="owner", password=secrets.token_urlsafe(12), role=Role.OWNER)
        if not owner.email:
            change_person(owner, email="owner@larkfield.example", name=owner.name or "Ines Larkfield")
        password = secrets.token_urlsafe(12)
        helper = add_person(
            username="sam", password=password, role=Role.MAKER, name="Sam Ode", email="sam@larkfield.example"
        )
        now = timezone.now()
        count = play(load_story(), now=now, people={"owner": owner.id, "sam": helper.id})
        skip_past_due(now)
        self.stdout.write(f"Demo loaded: {count} events. The helper signs in as: sam   password: {password}")
