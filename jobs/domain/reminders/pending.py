"""Reminders that are due and not yet sent or given up, read with their deliveries."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from jobs.domain.reminders.channels import mail, push
from jobs.domain.reminders.kinds import KINDS
from jobs.log.outbox import LONGEST_DELAY, has_come
from jobs.models import Channel, Delivery, ReminderDue, Wait

LATE = timedelta(minutes=10)
CHANNELS = {Channel.MAIL: mail, Channel.PUSH: push}
Identity = tuple[int, str, str, str, str, str, int]
Step = Delivery.Step
ORDER = ("due_at", "wait_id", "task_id", "subject", "kind", "person", "channel", "attempt")


@dataclass(frozen=True, kw_only=True)
class PendingReminder:
    """A reminder that is due and unsent, with its delivery where one was begun."""

    due: ReminderDue
    delivery: Delivery | None
    late: bool

    def takeable(self, now: datetime) -> bool:
        if self.delivery is None:
            return True
        at = self.delivery.next_at
        return at is not None and not now < at <= now + LONGEST_DELAY

    @property
    def surely_unsent(self) -> bool:
        return self.delivery is None or self.delivery.step == Step.FAILED


def identified(row: ReminderDue | Delivery) -> dict[str, Any]:
    """Return the columns of the ledger that identify a reminder."""
    return {
        "wait_key": row.about_key if isinstance(row, ReminderDue) else row.wait_key,
        **{name: getattr(row, name) for name in ("subject", "occasion")},
        "kind": str(row.kind),
        "person": row.person,
        "channel": str(row.channel),
        "attempt": row.attempt,
    }


def identity(row: ReminderDue | Delivery) -> Identity:
    """Return the key that identifies a reminder."""
    key = row.about_key if isinstance(row, ReminderDue) else row.wait_key
    return key, row.subject, row.occasion, str(row.kind), row.person, str(row.channel), row.attempt


def order_of(due: ReminderDue) -> tuple[Any, ...]:
    values = [getattr(due, name) for name in ORDER]
    return tuple(v or 0 if name.endswith("_id") else v for name, v in zip(ORDER, values, strict=True))


def due_reminders(now: datetime, channels: Collection[Channel] = tuple(CHANNELS)) -> QuerySet[ReminderDue]:
    """Return the due reminders on these channels that are neither sent nor settled otherwise."""
    by_way = Q()
    for channel in channels:
        by_way |= Q(channel=channel, person__in=CHANNELS[channel].reachable().values("id"))
    stands = Q(wait__step=Wait.Step.RUNNING) | Q(task__isnull=False, task__done_at=None) | ~Q(subject="")
    settled = ~Q(step__in=(Step.CLAIMED, Step.FAILED))
    found = ReminderDue.objects.filter(by_way, stands, due_at__lte=now, kind__in=KINDS)
    return found.exclude(Exists(delivery_of_due().filter(settled))).order_by(*ORDER)


def delivery_of_due() -> QuerySet[Delivery]:
    """Return a subquery for the delivery of a scheduled row; its unique index finds it."""
    same = {name: OuterRef(name) for name in ("subject", "occasion", "kind", "person", "channel", "attempt")}
    return Delivery.objects.filter(wait_key=Coalesce(OuterRef("wait_id"), OuterRef("task_id"), 0), **same)


def pending_reminders(dues: QuerySet[ReminderDue], now: datetime) -> list[PendingReminder]:
    """Return these reminders, each with its delivery where one was begun."""
    found = list(
        dues.select_related("wait__stage__piece__commission", "wait__estimate", "task__piece__commission")
    )
    keys, subjects = {d.about_key for d in found} - {0}, {d.subject for d in found} - {""}
    about = Q(wait_key__in=keys) | Q(wait_key=0, subject__in=subjects)
    begun = {identity(row): row for row in Delivery.objects.filter(about)} if found else {}
    return [
        PendingReminder(
            due=due,
            delivery=begun.get(identity(due)),
            late=not KINDS[due.kind].at_once and now - due.due_at > LATE,
        )
        for due in found
    ]


def open_deliveries(now: datetime) -> QuerySet[Delivery]:
    return Delivery.objects.filter(has_come(now), channel__in=CHANNELS)


@transaction.atomic
def skip_past_due(now: datetime) -> int:
    """Mark past reminders as skipped when a log is loaded; return how many.

    Nobody wants the mails of a log that was just loaded.
    """
    past = due_reminders(now).exclude(Exists(delivery_of_due()))
    same = {"step": Step.SKIPPED, "claimed_at": now, "tries": 0}
    reason = "its time had passed when the log was loaded"
    rows = [Delivery(**identified(due), **same, due_at=due.due_at, error=reason) for due in past]
    return len(Delivery.objects.bulk_create(rows))
