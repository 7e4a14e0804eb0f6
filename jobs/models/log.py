"""The log: events, its head, and the keys of commands already carried out."""

import json
from collections.abc import Sequence
from functools import cached_property
from typing import Any, ClassVar

from django.db import models

from jobs.core.canonical_json import CanonicalField
from jobs.core.errors import WrongState
from jobs.core.upcasters import upcast
from jobs.models.bases import Kept

MOST_AT_ONCE = 500
"""Events that one statement inserts."""


class AppendOnly(models.QuerySet["Event"]):
    """A query set that refuses changes; only ``jobs.log`` adds events."""

    def _refuse(self, *args: Any, **kwargs: Any) -> Any:
        raise WrongState("the log is append-only")

    update = delete = bulk_update = bulk_create = update_or_create = _refuse

    def add(self, events: Sequence["Event"]) -> None:
        """Insert new events in order."""
        super().bulk_create(events, batch_size=MOST_AT_ONCE)


class LogHead(Kept):
    """The single row that every command locks first."""

    why_kept: ClassVar[str] = "a copy of the last event's number and hash, held as the lock"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    seq = models.BigIntegerField(default=0)
    hash = models.CharField(max_length=64, default="0" * 64)
    recorded_at = models.DateTimeField(null=True)


class Event(Kept):
    """One permanent change. ``body`` is the hashed canonical JSON text; ``data`` is its upcast form."""

    why_kept: ClassVar[str] = "it is the log itself"

    seq = models.BigIntegerField(primary_key=True)
    kind = models.CharField(max_length=60)
    version = models.PositiveSmallIntegerField()
    stream = models.CharField(max_length=80, db_index=True)
    body = models.TextField()
    actor = models.CharField(max_length=60)
    occurred_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    command_id = models.UUIDField(db_index=True)
    prev_hash = models.CharField(max_length=64, unique=True)
    hash = models.CharField(max_length=64, unique=True)

    objects = AppendOnly.as_manager()

    class Meta:
        ordering = ("seq",)

    @cached_property
    def data(self) -> Any:
        """Return the event's data in today's form, whatever its stored version; it must not be changed."""
        return upcast(self.kind, self.version, json.loads(self.body))

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise WrongState("the log is append-only")
        super().save(*args, force_insert=True, using=kwargs.get("using"))

    def delete(self, *args: Any, **kwargs: Any) -> Any:
        raise WrongState("the log is append-only")


class CommandKey(Kept):
    """The idempotency key of a command that succeeded, and the fingerprint of its request."""

    why_kept: ClassVar[str] = "the fingerprint may be of a personal text, so it cannot stand in the chain"

    actor = models.CharField(max_length=60)
    key = models.CharField(max_length=200)
    salt = models.CharField(max_length=32)
    fingerprint = models.CharField(max_length=64)
    command_id = models.UUIDField(unique=True)
    first_seq = models.BigIntegerField()
    last_seq = models.BigIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["actor", "key"], name="one_command_per_actor_and_key")]


class PrivateText(Kept):
    """One personal text. Deleting the row deletes content and salt; the chain still verifies."""

    why_kept: ClassVar[str] = "personal data must be forgettable, the log is not"

    id = models.UUIDField(primary_key=True)
    salt = models.CharField(max_length=64)
    text = models.TextField()
    sha256 = models.CharField(max_length=64)
    hold_until = models.DateField(null=True)


class Heartbeat(Kept):
    """The last time that a recurring task ran, and its result."""

    why_kept: ClassVar[str] = "a sign of life of the running processes"

    name = models.CharField(max_length=20, primary_key=True)
    at = models.DateTimeField()
    said = CanonicalField(default=dict)


class CalendarEntry(Kept):
    """An entry of the calendar feeds. The worker writes it, so opening a feed changes nothing.

    ``about`` is such as ``wait:12003`` or ``commission:2026-014``; a feed reads the words each time.
    ``sequence`` grows whenever the times move and never decreases, even if the entry goes and comes back.
    ``digest`` is a keyed hash: it shows that words changed without revealing them.
    """

    why_kept: ClassVar[str] = "entries that calendars have seen must keep their numbers"

    about = models.CharField(max_length=60, unique=True)
    starts_at = models.DateTimeField(null=True)
    ends_at = models.DateTimeField(null=True)
    alarm_at = models.DateTimeField(null=True)
    second_alarm_at = models.DateTimeField(null=True)
    day = models.DateField(null=True)
    sequence = models.PositiveIntegerField(default=0)
    digest = models.CharField(max_length=64)
    added_at = models.DateTimeField()
    modified_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, db_index=True)
