"""What the plan said as promises were made and stages begun, and which promises are at risk."""

from typing import ClassVar

from django.db import models

from jobs.models.bases import Derived, Kept
from jobs.models.commissions import Commission


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
