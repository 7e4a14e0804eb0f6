"""Updates to clients, their questions, what they approve, and the links that open a client's page."""

from typing import ClassVar

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import Kept, State
from jobs.models.commissions import Commission


class ClientLink(Kept):
    """A link that opens the client's page of one commission, stored as its hash; shown once when made.

    A commission has one handed-over link at a time. Each mail to the client carries another link, which
    ``mail`` names.
    """

    why_kept: ClassVar[str] = "access is revocable and secret"

    commission = models.CharField(max_length=20, db_index=True)
    sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=60)
    mail = models.CharField(max_length=40, blank=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["commission"],
                condition=models.Q(revoked_at=None, mail=""),
                name="one_handed_link_per_commission",
            )
        ]


class ClientUpdate(State):
    """News for a client: words, chosen pictures, and whether a mail carries it too."""

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="updates")
    words_ref = models.UUIDField()
    pictures = CanonicalField(default=list)
    by_mail = models.BooleanField()
    told_at = models.DateTimeField()
    told_by = models.CharField(max_length=60)

    class Meta:
        ordering = ("told_at", "id")


class ClientQuestion(State):
    """A client's question from the page. ``answer`` is the update that answered it, where one did."""

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="questions")
    words_ref = models.UUIDField()
    asked_at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True)
    settled_by = models.CharField(max_length=60, blank=True)
    how_ref = models.UUIDField(null=True)
    answer = models.ForeignKey(ClientUpdate, on_delete=models.PROTECT, related_name="answers", null=True)

    class Meta:
        ordering = ("asked_at", "id")


class Approval(State):
    """What a client was asked to approve of a piece, as it was shown, and the yes to it.

    ``shown`` holds the facts that were shown. ``link`` is the link that the client said yes by.
    """

    class What(models.TextChoices):
        DRAWING = "drawing", "Drawing"
        SAMPLE = "sample", "Sample"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="approvals")
    piece = models.CharField(max_length=26, db_index=True)
    what = models.CharField(max_length=8, choices=What.choices)
    shown = CanonicalField()
    asked_at = models.DateTimeField()
    asked_by = models.CharField(max_length=60)
    approved_at = models.DateTimeField(null=True)
    approved_by = models.CharField(max_length=60, blank=True)
    link = models.BigIntegerField(null=True)

    class Meta:
        ordering = ("asked_at", "id")
