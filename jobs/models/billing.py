"""Offers: quotes, and change orders that follow them."""

from datetime import date

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State
from jobs.models.commissions import Commission, Priced
from jobs.models.papers import Paper


class Offer(State):
    """One version of a quote or of a change order. Issuing a version supersedes the one before.

    ``number`` names all versions of one offer, such as 2026-014-Q1 or 2026-014-X2. ``version`` counts them.
    ``because`` is the reason why a quote was lost, as it is counted. Of an accepted version: ``how`` the yes
    came, the hash of the PDF that was shown, total and deposit that it agrees to, and the key of a picture of
    the ``signed_copy``.
    """

    class Kind(models.TextChoices):
        QUOTE = "quote", "Quote"
        CHANGE = "change-order", "Change order"

    class Step(models.TextChoices):
        DRAFT = "draft", "Draft"
        ISSUED = "issued", "Issued"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"
        EXPIRED = "expired", "Expired"
        SUPERSEDED = "superseded", "Superseded"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="offers")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    number = models.CharField(max_length=26)
    version = models.PositiveIntegerField()
    step = models.CharField(max_length=12, choices=Step.choices, default=Step.DRAFT)
    currency = models.CharField(max_length=3)
    words_ref = models.UUIDField(null=True)
    terms_ref = models.UUIDField(null=True)
    included_ref = models.UUIDField(null=True)
    excluded_ref = models.UUIDField(null=True)
    valid_days = models.PositiveSmallIntegerField()
    valid_until = models.DateField(null=True)
    promise_on = models.DateField(null=True)
    deposit_pct = models.DecimalField(max_digits=6, decimal_places=3)
    deposit_sum = models.DecimalField(max_digits=14, decimal_places=2, null=True)
    """A sum with tax in place of the share."""
    basis = CanonicalField(default=dict)
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="offers", null=True)
    drafted_at = models.DateTimeField()
    issued_at = models.DateTimeField(null=True)
    decided_at = models.DateTimeField(null=True)
    decided_by = models.CharField(max_length=60, blank=True)
    chosen = CanonicalField(default=list)
    name_ref = models.UUIDField(null=True)
    how = models.CharField(max_length=12, blank=True)
    shown_sha256 = models.CharField(max_length=64, blank=True)
    agreed_total = models.DecimalField(max_digits=14, decimal_places=2, null=True)
    agreed_deposit = models.DecimalField(max_digits=14, decimal_places=2, null=True)
    signed_copy = models.BigIntegerField(null=True)
    reason_ref = models.UUIDField(null=True)
    because = models.CharField(max_length=12, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["number", "version"], name="one_row_per_offer_version")
        ]
        ordering = ("number", "version")

    def is_over(self, today: date) -> bool:
        """Return whether the last day of an undecided, issued version has passed."""
        return self.step == self.Step.ISSUED and self.valid_until is not None and self.valid_until < today


class OfferLine(Priced):
    """One line of an offer; a change order adds it, or leaves it out by a negative quantity."""

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="lines")


class OfferAlternative(State):
    """A piece in another wood or with another finish, and its difference in price; see ``Priced``."""

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="alternatives")
    position = models.PositiveIntegerField()
    piece = models.CharField(max_length=26)
    what = models.CharField(max_length=12)
    to = models.CharField(max_length=80)
    description_ref = models.UUIDField()
    difference = models.DecimalField(max_digits=12, decimal_places=2)
    tax_category = models.CharField(max_length=3)
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3)
    with_tax = models.BooleanField(default=False)
