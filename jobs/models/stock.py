"""Boards on the rack, supplies on the shelf, and equipment."""

from django.db import models

from calcs.glue_up.pressure import USUAL_KIND
from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State
from jobs.models.commissions import Stage


class Board(State):
    """One board with its measured sides. Only the owner sees its price; its remark is a private text."""

    class Step(models.TextChoices):
        FREE = "free", "Free"
        RESERVED = "reserved", "Reserved"
        USED = "used", "Used"
        WRITTEN_OFF = "written off", "Written off"

    number = models.PositiveIntegerField(unique=True)
    species = models.CharField(max_length=80)
    thickness_len = models.BigIntegerField()
    width_len = models.BigIntegerField()
    length_len = models.BigIntegerField()
    typed = CanonicalField(default=dict)
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True)
    currency = models.CharField(max_length=3, blank=True)
    note_ref = models.UUIDField(null=True)
    cut_from = models.PositiveIntegerField(null=True)
    step = models.CharField(max_length=12, choices=Step.choices, default=Step.FREE, db_index=True)
    piece = models.CharField(max_length=26, blank=True, db_index=True)
    reason_ref = models.UUIDField(null=True)
    added_at = models.DateTimeField()
    version = models.BigIntegerField()

    class Meta:
        ordering = ("number",)


class MoistureReading(State):
    """A moisture reading of a board."""

    board = models.ForeignKey(Board, on_delete=models.PROTECT, related_name="readings")
    pct = models.DecimalField(max_digits=5, decimal_places=2)
    at = models.DateTimeField()
    depth_len = models.BigIntegerField(null=True)
    voided = models.BooleanField(default=False)

    class Meta:
        ordering = ("at", "id")


class Supply(State):
    """One container of glue, finish, abrasive or hardware. Its best-before date is derived.

    ``price`` is that of a full one, without tax; ``holds`` and ``holds_unit`` say how much that is.
    """

    class Kind(models.TextChoices):
        GLUE = "glue", "Glue"
        FINISH = "finish", "Finish"
        ABRASIVE = "abrasive", "Abrasive"
        HARDWARE = "hardware", "Hardware"
        OTHER = "other", "Other"

    class Level(models.TextChoices):
        FULL = "full", "Full"
        HALF = "half", "Half"
        LOW = "low", "Low"
        EMPTY = "empty", "Empty"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    name_ref = models.UUIDField()
    sheet = models.CharField(max_length=60, blank=True)
    lot = models.CharField(max_length=40, blank=True)
    got_on = models.DateField()
    opened_on = models.DateField(null=True)
    shelf_life_d = models.PositiveIntegerField(null=True)
    use_by = models.DateField(null=True)
    level = models.CharField(max_length=6, choices=Level.choices, default=Level.FULL)
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True)
    currency = models.CharField(max_length=3, blank=True)
    holds = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    holds_unit = models.CharField(max_length=12, blank=True)
    discarded_at = models.DateTimeField(null=True)
    reason_ref = models.UUIDField(null=True)
    version = models.BigIntegerField()

    class Meta:
        ordering = ("kind", "id")


class Equipment(State):
    """A number of clamps of one kind and reach, or of places of one kind."""

    class Kind(models.TextChoices):
        CLAMP = "clamp", "Clamp"
        BENCH = "bench place", "Bench place"
        FINISHING = "finishing room place", "Finishing room place"

    kind = models.CharField(max_length=24, choices=Kind.choices)
    name_ref = models.UUIDField(null=True)
    clamp_kind = models.CharField(max_length=24, default=USUAL_KIND)
    reach_len = models.BigIntegerField(null=True)
    count = models.PositiveIntegerField()
    retired_at = models.DateTimeField(null=True)
    version = models.BigIntegerField()

    class Meta:
        ordering = ("kind", "reach_len", "id")


class Hold(State):
    """Clamps that a stage took and has not freed."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="holds")
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="holds")
    count = models.PositiveIntegerField()
    since = models.DateTimeField()

    class Meta:
        ordering = ("since", "id")
