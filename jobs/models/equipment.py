"""Clamps and places to work at, and which stage holds clamps now."""

from django.db import models

from jobs.models.bases import State
from jobs.models.commissions import Stage


class Equipment(State):
    """So many clamps of one reach, or so many places of one kind."""

    class Kind(models.TextChoices):
        CLAMP = "clamp", "Clamp"
        BENCH = "bench place", "Bench place"
        FINISHING = "finishing room place", "Finishing room place"

    kind = models.CharField(max_length=24, choices=Kind.choices)
    name_ref = models.UUIDField(null=True)
    reach_len = models.BigIntegerField(null=True)
    count = models.PositiveIntegerField()
    retired_at = models.DateTimeField(null=True)
    version = models.BigIntegerField()

    class Meta:
        ordering = ("kind", "reach_len", "id")


class Hold(State):
    """Clamps that a stage took and has not given back."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="holds")
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="holds")
    count = models.PositiveIntegerField()
    since = models.DateTimeField()

    class Meta:
        ordering = ("since", "id")
