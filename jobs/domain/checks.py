"""How things are called on screens and in refusals."""

from datetime import datetime

from django.utils import timezone

from jobs.log.private_texts import read
from jobs.models import Person, Stage

SYSTEM = "shop"
"""The actor of what the service does by itself."""


def title_of(stage: Stage) -> str:
    """A stage's title: the template's, or the maker's own words."""
    return read(stage.title_ref) if stage.title_ref else str(stage.spec["title"])


def person_name(actor: str) -> str:
    """The name of who acted; the id where that person is gone."""
    person = Person.objects.filter(id=actor).first()
    return str(person) if person else actor


def clock(moment: datetime | None) -> str:
    """A moment on the shop's clock."""
    return f"{timezone.localtime(moment):%Y-%m-%d %H:%M:%S}" if moment else ""
