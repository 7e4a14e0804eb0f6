"""Notes for next time, and pictures of work."""

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.models.bases import State


class Note(State):
    """Words, and an optional picture, for a kind of stage. Pieces must share its ``tags``.

    A maker's own stage has no kind, so its title identifies it. The picture's private text is the name of its
    file. ``rule`` says which kind of stage comes before which.
    """

    template_key = models.CharField(max_length=60)
    title = models.CharField(max_length=200)
    title_ref = models.UUIDField(null=True)
    owner_only = models.BooleanField(default=False)
    piece = models.CharField(max_length=26)
    stage = models.CharField(max_length=60)
    words_ref = models.UUIDField()
    picture_ref = models.UUIDField(null=True)
    tags = CanonicalField(default=dict)
    rule = CanonicalField(null=True)
    written_at = models.DateTimeField()
    written_by = models.CharField(max_length=60)
    retired_at = models.DateTimeField(null=True)
    retired_by = models.CharField(max_length=60, blank=True)
    retired_reason_ref = models.UUIDField(null=True)
    version = models.BigIntegerField()


class NoteDismissal(State):
    """The dismissal of a note for one piece, which no longer shows it."""

    note = models.ForeignKey(Note, on_delete=models.PROTECT, related_name="dismissals")
    piece = models.CharField(max_length=26)
    dismissed_at = models.DateTimeField()
    dismissed_by = models.CharField(max_length=60)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["note", "piece"], name="a_note_is_dismissed_once_per_piece")
        ]


class Picture(State):
    """A picture of a stage's work, or of what a commission asks for: then piece and stage are empty.

    Its private text is the name of its file; a removed one is not shown.
    """

    commission = models.CharField(max_length=20, db_index=True)
    piece = models.CharField(max_length=26, blank=True, db_index=True)
    stage = models.CharField(max_length=60, blank=True)
    owner_only = models.BooleanField(default=False)
    picture_ref = models.UUIDField()
    words_ref = models.UUIDField(null=True)
    taken_at = models.DateTimeField()
    taken_by = models.CharField(max_length=60)
    removed_at = models.DateTimeField(null=True)
    removed_reason_ref = models.UUIDField(null=True)

    class Meta:
        ordering = ("taken_at", "id")
