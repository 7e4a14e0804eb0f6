"""Dates outside the shop; the plan: what was pinned in it, what is published, how it was told each day."""

from typing import ClassVar

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import Derived, Kept, State
from jobs.models.commissions import Commission


class Appointment(State):
    """A date outside the shop. Without ``starts_at`` it takes the whole day.

    ``people`` holds the ids of those who go, ``hands`` how many are needed. ``is_told`` says whether the
    client was told the date.
    """

    class Kind(models.TextChoices):
        SITE_VISIT = "site visit", "Site visit"
        WOOD = "wood", "Collecting wood"
        DELIVERY = "delivery", "Delivery"
        OTHER = "other", "Other date"

    class Step(models.TextChoices):
        PLANNED = "planned", "Planned"
        DONE = "done", "Done"
        CANCELLED = "cancelled", "Cancelled"

    commission = models.ForeignKey(
        Commission, on_delete=models.PROTECT, related_name="appointments", null=True
    )
    kind = models.CharField(max_length=12, choices=Kind.choices)
    day = models.DateField()
    starts_at = models.DateTimeField(null=True)
    minutes = models.PositiveIntegerField(null=True)
    place_ref = models.UUIDField(null=True)
    note_ref = models.UUIDField(null=True)
    hands = models.PositiveSmallIntegerField(default=1)
    people = CanonicalField(default=list)
    is_told = models.BooleanField(default=False)
    step = models.CharField(max_length=10, choices=Step.choices, default=Step.PLANNED)
    reason_ref = models.UUIDField(null=True)
    version = models.BigIntegerField()

    class Meta:
        ordering = ("day", "starts_at", "id")


class PlanPin(State):
    """What a maker fixed of a stage in the plan: its day, its person, or that it comes first."""

    piece = models.CharField(max_length=26)
    stage = models.CharField(max_length=60)
    day = models.DateField(null=True)
    person = models.CharField(max_length=40, blank=True)
    is_first = models.BooleanField(default=False)
    is_off = models.BooleanField(default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["piece", "stage"], name="one_pin_per_piece_and_stage")]


class PublishedPlan(Derived):
    """The last good plan, in a single row. Nothing in it is private: it names pieces, stages and ids.

    ``starts`` holds the moment and the people of each task, so that the next plan moves little. ``seq`` is
    the event up to which it knows the shop, ``tried_seq`` and ``tried_at`` those of the last try.
    ``is_wanted`` says that something but an event asks for another plan, ``trouble`` why the last try was not
    published.
    """

    id = models.PositiveSmallIntegerField(primary_key=True)
    made_at = models.DateTimeField(null=True)
    seq = models.BigIntegerField(default=0)
    body = CanonicalField(default=dict)
    starts = CanonicalField(default=dict)
    value = models.BigIntegerField(default=0)
    is_improved = models.BooleanField(default=False)
    is_wanted = models.BooleanField(default=False)
    tried_seq = models.BigIntegerField(default=0)
    tried_at = models.DateTimeField(null=True)
    trouble = models.TextField(blank=True)


class PlanOfDay(Kept):
    """The first plan of a day, as it was published then."""

    why_kept: ClassVar[str] = "what was planned is compared with what came; it cannot be computed again"

    day = models.DateField(primary_key=True)
    body = CanonicalField(default=dict)


class PromiseTold(Kept):
    """The days that the plan told as a promise was made, in odds of 1 in 2, 8 in 10 and 19 in 20.

    ``seq`` is the event that made the promise. Without a plan the days are empty.
    """

    why_kept: ClassVar[str] = "a plan is computed again each day, and no later one says what was told then"

    seq = models.BigIntegerField(unique=True)
    commission = models.CharField(max_length=20, db_index=True)
    told_at = models.DateTimeField()
    promise_on = models.DateField()
    ready_on = models.DateField(null=True)
    in_half = models.DateField(null=True)
    in_eight_of_ten = models.DateField(null=True)
    in_nineteen_of_twenty = models.DateField(null=True)


class PromiseRisk(Derived):
    """A promise whose 8 in 10 day lies beyond it by the published plan.

    ``plans`` counts the plans in a row that said so, ``calm`` those in a row since that did not. It is at
    risk from ``at_risk_since`` on. ``held_by`` and ``helps`` are a kind and a name, with a colon between.
    """

    commission = models.OneToOneField(
        Commission, on_delete=models.CASCADE, primary_key=True, related_name="risk"
    )
    promised = models.DateField()
    in_eight_of_ten = models.DateField()
    plans = models.PositiveIntegerField(default=0)
    calm = models.PositiveIntegerField(default=0)
    at_risk_since = models.DateTimeField(null=True)
    held_by = models.CharField(max_length=200, blank=True)
    helps = models.CharField(max_length=200, blank=True)


class StagePlanned(Kept):
    """How long the plan thought a stage takes as it was started, and when it was to start.

    ``seq`` is the event that started it; ``minutes`` are minutes of work.
    """

    why_kept: ClassVar[str] = "the plan of that day is gone, and the log does not hold it"

    seq = models.BigIntegerField(unique=True)
    piece = models.CharField(max_length=26, db_index=True)
    stage = models.CharField(max_length=60)
    kind = models.CharField(max_length=60)
    minutes = models.PositiveIntegerField()
    begins = models.DateTimeField()
    started_at = models.DateTimeField()
