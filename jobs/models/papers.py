"""Issued papers and money received."""

from django.db import models

from jobs.canonical import CanonicalField
from jobs.models.bases import State
from jobs.models.commissions import Commission


class Paper(State):
    """A numbered paper. What it says is frozen in a private text; its bytes are served for ever.

    ``credits`` is the invoice that a credit note takes back; that invoice is withdrawn from then on.
    """

    class Kind(models.TextChoices):
        CHECKLIST = "delivery-checklist", "Delivery checklist"
        INVOICE = "invoice", "Invoice"
        CREDIT = "credit-note", "Credit note"

    MONEY = (Kind.INVOICE, Kind.CREDIT)
    """Papers that are the owner's."""

    number = models.CharField(max_length=30, unique=True)
    kind = models.CharField(max_length=24, choices=Kind.choices)
    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="papers")
    issued_at = models.DateTimeField()
    frozen_ref = models.UUIDField()
    size = models.CharField(max_length=8)
    file_sha256 = models.CharField(max_length=64, blank=True)
    withdrawn_at = models.DateTimeField(null=True)
    credits = models.CharField(max_length=30, blank=True)

    @property
    def is_money(self) -> bool:
        return self.kind in self.MONEY


class Invoice(State):
    """The sums of an issued invoice or credit note, kept apart from the words on it."""

    paper = models.OneToOneField(Paper, on_delete=models.PROTECT, related_name="invoice")
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=14, decimal_places=2)
    tax = models.DecimalField(max_digits=14, decimal_places=2)
    total = models.DecimalField(max_digits=14, decimal_places=2)
    paid_before = models.DecimalField(max_digits=14, decimal_places=2)
    due = models.DecimalField(max_digits=14, decimal_places=2)
    due_on = models.DateField()
    totals = CanonicalField()


class Payment(State):
    """Money received on a commission."""

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=14, decimal_places=2)
    currency = models.CharField(max_length=3)
    received_on = models.DateField()
    what = models.CharField(max_length=12)
    note_ref = models.UUIDField(null=True)
