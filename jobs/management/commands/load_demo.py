"""Load the demo shop into an empty log: all of it or nothing."""

import secrets
from datetime import datetime, timedelta
from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from jobs.domain.clients.portal_links import address_of, make_link
from jobs.domain.reminders.pending import skip_past_due
from jobs.domain.workshop.accounts import add_person, change_person
from jobs.domain.workshop.demo import begin_demo
from jobs.log.commands import CommandContext
from jobs.management.demo import load_story, play
from jobs.management.demo_past import past_orders
from jobs.models import Commission, Event, Person
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
        begin_demo(CommandContext(by=owner.id, at=_begin(now), now=_begin(now)))
        people = {"owner": owner.id, "sam": helper.id}
        count = play(load_story(), now=now, people=people, past=past_orders())
        skip_past_due(now)
        quoted = Commission.objects.filter(step=Commission.Step.QUOTED).first()
        if quoted is not None:
            link = make_link(owner, commission=quoted.number, now=now)[1]
            self.stdout.write(f"A client's page: {address_of(link)}")
        self.stdout.write(f"Demo loaded: {count} events. The helper signs in as: sam   password: {password}")


def _begin(now: datetime) -> datetime:
    """Return a moment before the oldest step of the story."""
    return now - timedelta(days=500)
