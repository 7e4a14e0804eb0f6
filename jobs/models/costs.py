"""What was bought for a commission."""

from django.db import models

from jobs.models.bases import State
from jobs.models.commissions import Commission


class Cost(State):
    """Something bought for a commission, without tax, with the tax paid on it.

    A mistyped one is voided: it stays on record and does not count. ``picture_ref`` names the file of its
    receipt.
    """

    class Kind(models.TextChoices):
        LUMBER = "lumber", "Lumber"
        FINISH = "finish", "Finish"
        SUPPLIES = "supplies", "Supplies"
        OTHER = "other", "Other"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="costs")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    what_ref = models.UUIDField()
    supplier_ref = models.UUIDField(null=True)
    day = models.DateField()
    net = models.DecimalField(max_digits=14, decimal_places=2)
    tax = models.DecimalField(max_digits=14, decimal_places=2)
    currency = models.CharField(max_length=3)
    picture_ref = models.UUIDField(null=True)
    voided_at = models.DateTimeField(null=True)
    voided_by = models.CharField(max_length=60, blank=True)
    void_ref = models.UUIDField(null=True)

    class Meta:
        ordering = ("day", "id")
