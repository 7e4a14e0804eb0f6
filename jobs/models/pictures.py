"""Pictures taken at the bench, pinned to a stage."""

from django.db import models

from jobs.models.bases import State


class Picture(State):
    """A picture of a stage's work. Its private text is the name of its file; a removed one is not shown."""

    piece = models.CharField(max_length=26, db_index=True)
    stage = models.CharField(max_length=60)
    owner_only = models.BooleanField(default=False)
    picture_ref = models.UUIDField()
    words_ref = models.UUIDField(null=True)
    taken_at = models.DateTimeField()
    taken_by = models.CharField(max_length=60)
    removed_at = models.DateTimeField(null=True)
    removed_reason_ref = models.UUIDField(null=True)

    class Meta:
        ordering = ("taken_at", "id")
