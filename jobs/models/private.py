"""Personal texts beside the log; events hold only the id and a salted hash."""

from typing import ClassVar

from django.db import models

from jobs.models.bases import Kept


class PrivateText(Kept):
    """One personal text. Deleting the row forgets content and salt; the chain still verifies."""

    why_kept: ClassVar[str] = "personal data must be forgettable, the log is not"

    id = models.UUIDField(primary_key=True)
    salt = models.CharField(max_length=64)
    text = models.TextField()
    sha256 = models.CharField(max_length=64)
    hold_until = models.DateField(null=True)
