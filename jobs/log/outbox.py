"""The outbox: what goes out once is claimed, carried out and recorded; a failure is tried again later.

Effects and deliveries of reminders both live by it. A process that dies before it has recorded leaves its
claim behind, and after ``CLAIM`` another process takes the row.
"""

from datetime import datetime, timedelta
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import Q

from jobs.core import broker
from jobs.models import Delivery, OutboxMessage

DO_EFFECTS = "jobs.tasks.do_effects"
CLAIM = timedelta(minutes=2)
"""Duration of a claim: longer than a task may run, so that only a crash lets it lapse."""
LONGEST_DELAY = timedelta(hours=1)


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


def has_come(now: datetime) -> Q:
    """Return a filter for rows whose next try is due.

    A try further ahead than any delay was set before the clock was set back, so it counts as due.
    """
    return Q(next_at__lte=now) | Q(next_at__gt=now + LONGEST_DELAY)


def change(row: Delivery | OutboxMessage, **values: Any) -> bool:
    """Change a row if it is still as it was read; return whether it was."""
    state = "step" if isinstance(row, Delivery) else "done_at"
    as_read = {name: getattr(row, name) for name in ("id", "next_at", state)}
    for name, value in values.items():
        setattr(row, name, value)
    return type(row).objects.filter(**as_read).update(**values) == 1


def take(row: Delivery | OutboxMessage, now: datetime, **values: Any) -> bool:
    """Claim a row if it is still as it was read; return whether this process has it."""
    return change(row, next_at=now + CLAIM, tries=row.tries + 1, **values)


def put_off(row: Delivery | OutboxMessage, now: datetime, *, first: timedelta, **values: Any) -> None:
    """Release a claim until the next try: after the first delay, then after delays that double."""
    delay = min(first * 2 ** min(row.tries - 1, 10), LONGEST_DELAY)
    change(row, next_at=now + delay, **values)


def mail_standing(message: OutboxMessage | None) -> str:
    """Return how the mail of a message stands: unknown, waiting, sent or not sent."""
    if message is None:
        return "unknown"
    if message.done_at is None:
        return "waiting"
    return "not sent" if message.error else "sent"
