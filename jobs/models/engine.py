"""What the running parts leave behind: signs of life, and what the calendar feeds show."""

from typing import ClassVar

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import Kept


class Heartbeat(Kept):
    """When something that should happen again and again last happened, and what it said."""

    why_kept: ClassVar[str] = "a sign of life of the running processes"

    name = models.CharField(max_length=20, primary_key=True)
    at = models.DateTimeField()
    said = CanonicalField(default=dict)


class CalendarEntry(Kept):
    """An event as the calendar feeds show it. Written by the sweep, so that opening a feed changes nothing.

    ``about`` is such as ``wait:12003`` or ``commission:2026-014``; words are read anew each time.
    ``sequence`` grows whenever the times move and never goes down, even if the event goes and comes back.
    ``digest`` is keyed: it tells that words changed and not what they are.
    """

    why_kept: ClassVar[str] = "what calendars were shown must not be numbered anew"

    about = models.CharField(max_length=60, unique=True)
    starts_at = models.DateTimeField(null=True)
    ends_at = models.DateTimeField(null=True)
    alarm_at = models.DateTimeField(null=True)
    second_alarm_at = models.DateTimeField(null=True)
    day = models.DateField(null=True)
    sequence = models.PositiveIntegerField(default=0)
    digest = models.CharField(max_length=64)
    added_at = models.DateTimeField()
    modified_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, db_index=True)
