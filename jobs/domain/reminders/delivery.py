"""Delivery of reminders by mail and push: each is claimed, sent and recorded, so that it goes out once.

A claim is a row of the ledger, written before the message leaves (``jobs/log/outbox.py``). A claim that a
process left behind is taken by another, with the same Message-ID. The modules in ``channels`` send the
messages.
"""

import hashlib
import logging
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from email.utils import parseaddr
from functools import partial

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import Exists, Q, QuerySet

from jobs.core import broker
from jobs.core.canonical_json import dumps
from jobs.core.errors import NotSent, WrongState, reason_of
from jobs.domain.lookups import existing
from jobs.domain.reminders.pending import (
    CHANNELS,
    Identity,
    PendingReminder,
    delivery_of_due,
    due_reminders,
    identified,
    identity,
    open_deliveries,
    order_of,
    pending_reminders,
)
from jobs.domain.reminders.wording import Told, wording
from jobs.log import leases
from jobs.log.outbox import CLAIM, change, has_come, put_off, take
from jobs.models import Channel, Delivery, Event, Person, ReminderDue

SWEEP_TASK = "jobs.tasks.sweep"
LEASE = timedelta(seconds=20)
"""Each claim renews the lease, so that another process soon takes over from a dead one."""
LONGEST_RUN_S = 20
MOST_TOLD = 100
"""Reminders in one message; the next one holds the rest."""
FIRST_DELAY = timedelta(minutes=1)
MOST_TRIES = 24
"""With these delays, tries for about a day."""
Step = Delivery.Step
logger = logging.getLogger(__name__)


@dataclass(frozen=True, kw_only=True)
class Claimed:
    """One message to one person, claimed by this process."""

    person: Person
    channel: Channel
    told: list[Told]
    deliveries: list[Delivery]
    message_id: str


class _Taken(Exception):
    """Another process has claimed it."""


def deliver_due(now: datetime, *, stop: Callable[[], bool] = lambda: False) -> int:
    """Send the due and unsent reminders; return how many messages went out.

    Return 0 while another process delivers. ``stop`` is asked between messages: a worker that is to end
    leaves the rest to the others.
    """
    if not due_reminders(now).exists() and not open_deliveries(now).exists():
        return 0
    with leases.hold("reminders", now=now, length=LEASE) as holder:
        if not holder:
            return 0
        count, done = _deliver(now, Sweep(now=now, holder=holder), stop)
    if not done:
        broker.wake(SWEEP_TASK)
    return count


@dataclass(kw_only=True)
class Sweep:
    """One run through the due reminders: the open channels, and the progress."""

    now: datetime
    holder: str = ""
    channels: set[Channel] = field(default_factory=lambda: set(CHANNELS))
    after: datetime | None = None
    began: float = field(default_factory=time.monotonic)

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began

    def keep_lease(self) -> None:
        """Renew the lease within a claim's transaction, so that a process that lost it cannot claim."""
        until = self.now + timedelta(seconds=self.seconds) + LEASE
        if self.holder and not leases.renew("reminders", holder=self.holder, until=until):
            raise _Taken


def _deliver(now: datetime, sweep: Sweep, stop: Callable[[], bool]) -> tuple[int, bool]:
    """Send until nothing is left or time is up; return the count and whether nothing is left.

    A channel that does not answer is left alone until the next sweep.
    """
    _close_what_is_over(now)
    count = 0
    while sweep.channels:
        if sweep.seconds > LONGEST_RUN_S or stop():
            return count, False
        if (claimed := claim(now, sweep)) is None:
            break
        try:
            words = wording(claimed.person, claimed.told, now=now)
        except Exception as broken:  # whatever fails here, the other messages still go out
            _note_failure(claimed, now, broken, Step.FAILED)
            continue
        try:
            CHANNELS[claimed.channel].send(claimed.person, words, claimed.message_id)
        except NotSent as refused:
            _note_failure(claimed, now, refused, Step.FAILED)
            if refused.away:
                sweep.channels.discard(claimed.channel)
        except Exception as unclear:  # it may have gone out: a retry uses the same Message-ID
            _note_failure(claimed, now, unclear, Step.CLAIMED)
        else:
            _note_sent(claimed, now)
            count += 1
    return count, True


def claim(now: datetime, sweep: Sweep | None = None) -> Claimed | None:
    """Claim the next message to send; None where there is none."""
    try:
        with transaction.atomic():
            return _claim(now, sweep or Sweep(now=now))
    except (_Taken, IntegrityError):
        return None


def _claim(now: datetime, sweep: Sweep) -> Claimed | None:
    """Claim a message; the same transaction reads the schedule, so that its rules hold at that moment."""
    first = next(iter(pending_reminders(_takeable(now, sweep)[:1], now)), None)
    if first is None:
        return None
    if not first.takeable(now):  # another process claimed it between the reads of schedule and ledger
        raise _Taken
    sweep.keep_lease()
    sweep.after = first.due.due_at
    batch = _batch(first, now)
    kept = first.delivery.message_id if first.delivery and not first.surely_unsent else ""
    message_id = kept or _message_id(identity(u.due) for u in batch)
    return Claimed(
        person=Person.objects.get(id=first.due.person),
        channel=Channel(first.due.channel),
        told=[Told(due=u.due, late=u.late) for u in batch],
        deliveries=[_take(u, message_id, now) for u in batch],
        message_id=message_id,
    )


def _takeable(now: datetime, sweep: Sweep) -> QuerySet[ReminderDue]:
    """Return the reminders that may be claimed now, the oldest first, from the sweep's place on."""
    resting = Q(next_at=None) | ~has_come(now)
    found = due_reminders(now, sweep.channels).exclude(Exists(delivery_of_due().filter(resting)))
    return found.filter(due_at__gte=sweep.after) if sweep.after else found


def _batch(first: PendingReminder, now: datetime) -> list[PendingReminder]:
    """Return the reminders of one message.

    These are a person's reminders of one moment, or the late ones together. A message of unknown fate is
    repeated as it was.
    """
    mine = due_reminders(now).filter(person=first.due.person, channel=first.due.channel)
    if first.delivery and not first.surely_unsent:
        same = delivery_of_due().filter(message_id=first.delivery.message_id)
        lost = [u for u in pending_reminders(mine.filter(Exists(same)), now) if not u.surely_unsent]
        if not all(u.takeable(now) for u in lost if u.due.id == first.due.id):
            raise _Taken
        return [u for u in lost if u.takeable(now)]
    if not first.late:
        mine = mine.filter(due_at=first.due.due_at)
    found = pending_reminders(mine.exclude(Exists(delivery_of_due().filter(step=Step.CLAIMED))), now)
    unsent = [u for u in found if u.surely_unsent and u.due.id != first.due.id]
    others = [u for u in unsent if u.late == first.late]
    return sorted([first, *others[: MOST_TOLD - 1]], key=lambda u: order_of(u.due))


def _take(one: PendingReminder, message_id: str, now: datetime) -> Delivery:
    if one.delivery is None:
        return Delivery.objects.create(
            **identified(one.due), due_at=one.due.due_at, told_at=_told_at(one.due), claimed_at=now,
            next_at=now + CLAIM, late=one.late, message_id=message_id,
        )  # fmt: skip
    again = {"claimed_at": now, "late": one.late, "message_id": message_id, "told_at": _told_at(one.due)}
    if not take(one.delivery, now, step=Step.CLAIMED, **again):
        raise _Taken
    return one.delivery


def _told_at(due: ReminderDue) -> datetime | None:
    """Return the ready time that this reminder tells."""
    return due.wait.estimate.ready_at if due.wait is not None else None


def _note_sent(claimed: Claimed, now: datetime) -> None:
    """Record a message as sent, whoever holds the claim by now."""
    mine = Delivery.objects.filter(id__in=[d.id for d in claimed.deliveries])
    mine.update(step=Step.SENT, sent_at=now, next_at=None, error="")


def _note_failure(claimed: Claimed, now: datetime, problem: Exception, step: Delivery.Step) -> None:
    """Record the reason; retry after a delay that doubles, up to ``MOST_TRIES`` times."""
    reason = (
        str(problem) if isinstance(problem, NotSent) else f"{type(problem).__name__}: {reason_of(problem)}"
    )
    for secret, instead in CHANNELS[claimed.channel].secrets_of(claimed.person).items():
        reason = reason.replace(secret, instead)
    reason = reason[:500]
    logger.warning("reminder for %s not sent: %s", claimed.person.id, reason)
    for delivery in claimed.deliveries:
        if delivery.tries >= MOST_TRIES:
            change(delivery, step=Step.GIVEN_UP, next_at=None, error=reason)
        else:
            put_off(delivery, now, first=FIRST_DELAY, step=step, error=reason)


def _close_what_is_over(now: datetime) -> None:
    """Close deliveries that were answered, ended, switched off, or tried too often."""
    standing = due_reminders(now).filter(Exists(delivery_of_due().filter(has_come(now))))
    scheduled = {identity(due) for due in standing}
    for delivery in open_deliveries(now):
        if identity(delivery) not in scheduled:
            reason = "it was answered or ended before it could be sent"
            change(delivery, step=Step.SKIPPED, next_at=None, error=reason)
        elif delivery.tries >= MOST_TRIES:
            reason = delivery.error or "the sender ended each time"
            change(delivery, step=Step.GIVEN_UP, next_at=None, error=reason)


def resend(delivery: int, *, now: datetime) -> None:
    """Queue an undelivered message again, as if it had never been tried."""
    found = existing(Delivery.objects.filter(id=delivery), "delivery", delivery)
    if found.step in (Step.SENT, Step.SKIPPED) or found.step == Step.CLAIMED and not found.error:
        raise WrongState(
            f"this is {Step(found.step).label.lower()}",
            field="delivery", value=delivery, allowed="a message that did not arrive",
        )  # fmt: skip
    about = {name: value for name, value in identified(found).items() if name != "wait_key"}
    key = Q(wait_id=found.wait_key) | Q(task_id=found.wait_key) if found.wait_key else Q()
    if not ReminderDue.objects.filter(key, **about).exists():
        raise WrongState(
            "it was answered, has ended, or is not wanted by this way any more",
            field="delivery", value=delivery, allowed="a reminder that still stands",
        )  # fmt: skip
    step = Step.CLAIMED if found.step == Step.CLAIMED else Step.FAILED
    if change(found, step=step, tries=0, next_at=now):
        transaction.on_commit(partial(broker.wake, SWEEP_TASK))


def _message_id(identities: Iterable[Identity]) -> str:
    """Return a Message-ID that depends on the reminders and the shop's first event.

    So a repeat has the same id, and no other shop has it.
    """
    shop = Event.objects.values_list("hash", flat=True).get(seq=1)
    digest = hashlib.sha256(dumps([shop, *sorted(identities)]).encode("utf-8")).hexdigest()
    return f"<{digest[:32]}@{parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition('@')[2]}>"
