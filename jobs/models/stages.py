"""Safety tasks: hazards that work leaves until somebody says what was done about them."""

from django.db import models

from jobs.models.bases import State
from jobs.models.commissions import Piece


class SafetyTask(State):
    """An open question until somebody answers what was done. It blocks no stage.

    It is not a wait of the stage: reopening, redoing or cancelling the work does not cool a rag.
    """

    class Kind(models.TextChoices):
        RAGS = "rags", "Rags dealt with?"
        DUST = "dust", "Dust of fresh finish emptied?"

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="safety_tasks")
    stage = models.CharField(max_length=60)
    stage_title = models.CharField(max_length=140)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    opened_at = models.DateTimeField()
    due_at = models.DateTimeField()
    closing_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, db_index=True)
    done_by = models.CharField(max_length=60, blank=True)
    how_ref = models.UUIDField(null=True)

    class Meta:
        ordering = ("opened_at", "id")
