"""Requests to the worker outside commands: one message for a subject, however often it is asked for."""

from datetime import datetime
from functools import partial

from django.db import transaction

from jobs.core import broker
from jobs.models import OutboxMessage

DO_EFFECTS = "jobs.tasks.do_effects"


def ask_again(kind: str, subject: str, *, now: datetime) -> None:
    """Queue a message, once for a burst; its row is locked until the transaction ends.

    A waiting message is left alone. A message in progress becomes due again, because the worker may have read
    old values.
    """
    fresh = OutboxMessage(kind=kind, subject=subject, created_at=now, next_at=now)
    OutboxMessage.objects.bulk_create([fresh], ignore_conflicts=True)
    message = OutboxMessage.objects.select_for_update().get(kind=kind, subject=subject)
    waits = message.done_at is None and not message.tries and message.created_at < now
    if not waits:
        OutboxMessage.objects.filter(id=message.id).update(
            created_at=now, next_at=now, done_at=None, tries=0, error=""
        )
        transaction.on_commit(partial(broker.wake, DO_EFFECTS))
