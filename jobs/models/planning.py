"""Dates outside the shop: site visits, collections of wood, deliveries."""

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State
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
