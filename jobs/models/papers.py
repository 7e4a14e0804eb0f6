"""Issued papers and money received."""

import uuid

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State
from jobs.models.commissions import Client, Commission

LONGEST_KIND = 24
"""Longest name of a kind of paper."""
GONE = uuid.UUID(int=1)
"""Reference to the content of a paper whose content was forgotten."""


class Paper(State):
    """A numbered paper. Its content is frozen in a private text; its file never changes.

    A paper belongs to a commission; a statement of account belongs to a client. A receipt belongs to one
    payment. ``credits`` is the invoice that a credit note credits; credited in full, it is withdrawn.
    ``what`` tells a deposit invoice from the invoice of the whole price, and the credit note of a part from
    that of the whole.
    """

    CHECKLIST, INVOICE, CREDIT = "delivery-checklist", "invoice", "credit-note"
    RECEIPT, STATEMENT, QUOTE, CHANGE = "receipt", "statement", "quote", "change-order"
    """Kinds that code names; ``jobs/domain/papers/kinds.py`` has every kind."""
    MONEY = (INVOICE, CREDIT, RECEIPT, STATEMENT, QUOTE, CHANGE)
    """Papers that only the owner sees."""
    SUMMED = (INVOICE, CREDIT)
    """Papers with a row of sums."""

    number = models.CharField(max_length=30, unique=True)
    kind = models.CharField(max_length=LONGEST_KIND)
    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="papers", null=True)
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="statements", null=True)
    payment = models.ForeignKey("Payment", on_delete=models.PROTECT, related_name="receipts", null=True)
    issued_at = models.DateTimeField()
    frozen_ref = models.UUIDField()
    size = models.CharField(max_length=8)
    file_sha256 = models.CharField(max_length=64, blank=True)
    withdrawn_at = models.DateTimeField(null=True)
    credits = models.CharField(max_length=30, blank=True)
    what = models.CharField(max_length=12, blank=True)

    DEPOSIT, PART = "deposit", "part"

    @property
    def stream(self) -> str:
        return f"commission:{self.commission.number}" if self.commission else f"client:{self.client_id}"

    @property
    def version(self) -> int:
        """Return the version of the commission or client that owns the paper."""
        owner = self.commission or self.client
        assert owner is not None, "a paper belongs to a commission or to a client"
        return owner.version

    @property
    def is_forgotten(self) -> bool:
        """Return whether the content is forgotten; number and sums stay."""
        return self.frozen_ref == GONE

    @property
    def asks_for_money(self) -> bool:
        """Return whether this is a valid invoice."""
        return self.kind == self.INVOICE and self.withdrawn_at is None

    @property
    def last_sent(self) -> "PaperSending | None":
        """Return how the paper itself last went to the client; None where it has not arrived."""
        gone = [one for one in self.sendings.all() if not one.is_reminder and one.failed_at is None]
        return gone[-1] if gone else None

    @property
    def is_money(self) -> bool:
        return self.kind in self.MONEY


class PaperSending(State):
    """A paper sent to its client by mail with a link, or handed over.

    ``occasion`` says why, such as ``quote``. A mail that never arrived has ``failed_at`` and ``trouble``.
    """

    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="sendings")
    occasion = models.CharField(max_length=24)
    by_mail = models.BooleanField()
    to_ref = models.UUIDField(null=True)
    words_ref = models.UUIDField(null=True)
    sent_at = models.DateTimeField()
    sent_by = models.CharField(max_length=60)
    opened_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True)
    trouble = models.CharField(max_length=200, blank=True)

    REMINDER = "reminder"
    """The occasion of a mail that reminds of an open invoice."""

    @property
    def is_reminder(self) -> bool:
        return self.occasion == self.REMINDER

    class Meta:
        ordering = ("id",)


class Invoice(State):
    """The sums of an issued invoice or credit note, kept apart from its content."""

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
    """Money received on a commission; a negative amount was given back.

    ``named`` allocates amounts to invoices; the rest pays the oldest ones. A mistyped payment is voided: it
    stays on record and does not count.
    """

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(max_digits=14, decimal_places=2)
    currency = models.CharField(max_length=3)
    received_on = models.DateField()
    what = models.CharField(max_length=12)
    method = models.CharField(max_length=12, blank=True)
    note_ref = models.UUIDField(null=True)
    named = CanonicalField(default=list)
    voided_at = models.DateTimeField(null=True)
    voided_by = models.CharField(max_length=60, blank=True)
    void_ref = models.UUIDField(null=True)
