"""When people work: hours of a week, days off, holidays of the shop; days on which a client takes nothing."""

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State
from jobs.models.commissions import Commission


class WorkingHours(State):
    """The hours of one person. Somebody without a row works the usual hours of the shop and may do all work.

    ``week`` and ``unwanted`` hold seven days from Monday on, each a list of spans of two clocks such as
    ``["08:00", "12:00"]``. ``week`` is None for the usual hours, ``unwanted`` worked only where it must be.
    Until ``back_until`` the person may come back after work to scrape glue; empty: never. ``limits`` names
    the work that they do not do, or not alone.
    """

    person = models.CharField(max_length=40, unique=True)
    week = CanonicalField(null=True)
    unwanted = CanonicalField(default=list)
    back_until = models.CharField(max_length=5, blank=True)
    limits = CanonicalField(default=dict)
    version = models.BigIntegerField()


class DayOff(State):
    """Days on which a person is away, or a holiday of the whole shop where ``person`` is empty.

    ``begins`` and ``ends`` are clocks of a single day; an empty one is the beginning or the end of that day.
    """

    person = models.CharField(max_length=40, blank=True)
    first = models.DateField()
    last = models.DateField()
    begins = models.CharField(max_length=5, blank=True)
    ends = models.CharField(max_length=5, blank=True)
    reason_ref = models.UUIDField(null=True)
    is_cancelled = models.BooleanField(default=False)
    version = models.BigIntegerField()

    class Meta:
        ordering = ("first", "last", "id")


class Blackout(State):
    """Days on which the client of a commission takes no delivery and no visit."""

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="blackouts")
    first = models.DateField()
    last = models.DateField()
    reason_ref = models.UUIDField(null=True)
    is_cancelled = models.BooleanField(default=False)
    version = models.BigIntegerField()

    class Meta:
        ordering = ("first", "last", "id")
