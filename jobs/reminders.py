"""Reminders by mail: each is claimed, sent and recorded, so that it goes out once.

A claim is a row of the ledger, written before the mail leaves. A process that dies between sending and
recording leaves its claim behind; after ``CLAIM`` it is taken again, with the same Message-ID.
"""

import hashlib
import logging
import smtplib
import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.utils import parseaddr
from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import IntegrityError, transaction
from django.db.models import Q

from jobs import leases
from jobs.canonical import dumps
from jobs.models import Channel, Delivery, Event, Person, ReminderDue, ReminderKind, Wait
from jobs.reminder_text import Told, wording

LATE = timedelta(minutes=10)
CLAIM = timedelta(minutes=2)
LEASE = timedelta(seconds=60)
"""Longer than the task that sweeps may run."""
LONGEST_RUN_S = 20
FIRST_DELAY, LONGEST_DELAY = timedelta(minutes=1), timedelta(hours=1)
MOST_TRIES = 24
"""With these delays a day of tries."""
REFUSED = (smtplib.SMTPRecipientsRefused, smtplib.SMTPResponseException)
"""The mail server answered no: nothing went out."""

AT_ONCE = (ReminderKind.NOT_YET, ReminderKind.TOO_COLD)
"""News that is due when it is known; its time says when what it is about happened."""

Step = Delivery.Step
logger = logging.getLogger(__name__)


@dataclass(frozen=True, kw_only=True)
class Unsettled:
    """A reminder whose time has come and that was not sent, with its delivery where one was begun."""

    due: ReminderDue
    delivery: Delivery | None
    late: bool

    def takeable(self, now: datetime) -> bool:
        return self.delivery is None or (self.delivery.next_at is not None and self.delivery.next_at <= now)

    @property
    def surely_unsent(self) -> bool:
        return self.delivery is None or self.delivery.step == Step.FAILED


@dataclass(frozen=True, kw_only=True)
class Claimed:
    """One mail to one person, claimed by this process."""

    person: Person
    told: list[Told]
    deliveries: list[Delivery]
    message_id: str


class _Taken(Exception):
    """Another process has it."""


def deliver_due(now: datetime) -> int:
    """Send what is due and not yet sent; how many mails went out. Nothing while another process is at it."""
    if not _unsettled(now) and not _open_deliveries(now):
        return 0
    with leases.hold("reminders", now=now, length=LEASE) as mine:
        return _deliver(now) if mine else 0


def _deliver(now: datetime) -> int:
    _close_what_is_over(now)
    stop, count = time.monotonic() + LONGEST_RUN_S, 0
    while time.monotonic() < stop and (claimed := claim(now)):
        try:
            mail = _mail(claimed, now)
        except Exception as broken:  # whatever it is, the others still go out
            _note_failure(claimed, now, broken, Step.FAILED)
            continue
        connection = get_connection()
        try:
            connection.open()
        except Exception as away:
            _note_failure(claimed, now, away, Step.FAILED)
            break
        try:
            if connection.send_messages([mail]) != 1:
                raise OSError("the mail server took nothing")
        except REFUSED as refused:
            _note_failure(claimed, now, refused, Step.FAILED)
        except Exception as unclear:  # it may have gone out: the same Message-ID will be used again
            _note_failure(claimed, now, unclear, Step.CLAIMED)
        else:
            _note_sent(claimed, now)
            count += 1
        finally:
            connection.close()
    return count


def claim(now: datetime) -> Claimed | None:
    """Take the next mail there is to send, or nothing."""
    if not any(u.takeable(now) for u in _unsettled(now)):
        return None
    try:
        with transaction.atomic():
            return _claim(now)
    except (_Taken, IntegrityError):
        return None


def _claim(now: datetime) -> Claimed | None:
    """The rules are checked here, at the last moment: the schedule is read in the claim's own transaction."""
    unsettled = _unsettled(now)
    first = next((u for u in unsettled if u.takeable(now)), None)
    if first is None:
        return None
    batch = _batch(first, unsettled)
    kept = first.delivery.message_id if first.delivery and not first.surely_unsent else ""
    message_id = kept or _message_id(identity(u.due) for u in batch)
    return Claimed(
        person=Person.objects.get(id=first.due.person),
        told=[Told(due=u.due, late=u.late) for u in batch],
        deliveries=[_take(u, message_id, now) for u in batch],
        message_id=message_id,
    )


def _batch(first: Unsettled, unsettled: list[Unsettled]) -> list[Unsettled]:
    """One mail: what is due to a person at one moment; late ones together; a lost mail as it was."""
    if not first.surely_unsent:
        return [u for u in unsettled if not u.surely_unsent and _same_mail(u, first)]
    mine = [u for u in unsettled if u.surely_unsent and u.due.person == first.due.person]
    if first.late:
        return [u for u in mine if u.late]
    return [u for u in mine if u.due.due_at == first.due.due_at]


def _same_mail(one: Unsettled, other: Unsettled) -> bool:
    assert one.delivery and other.delivery
    return one.delivery.message_id == other.delivery.message_id


def _take(one: Unsettled, message_id: str, now: datetime) -> Delivery:
    if one.delivery is None:
        wait_key, kind, person, channel, attempt = identity(one.due)
        return Delivery.objects.create(
            wait_key=wait_key, kind=kind, person=person, channel=channel, attempt=attempt,
            due_at=one.due.due_at, told_at=_told_at(one.due), claimed_at=now, next_at=now + CLAIM,
            late=one.late, message_id=message_id,
        )  # fmt: skip
    again = {
        "step": Step.CLAIMED, "claimed_at": now, "next_at": now + CLAIM, "late": one.late,
        "message_id": message_id, "tries": one.delivery.tries + 1, "told_at": _told_at(one.due),
    }  # fmt: skip
    if not _change(one.delivery, **again):
        raise _Taken
    return one.delivery


def _told_at(due: ReminderDue) -> datetime | None:
    """The ready time that this reminder tells."""
    return due.wait.estimate.ready_at if due.wait is not None else None


def _change(delivery: Delivery, **values: Any) -> bool:
    """Change a delivery if it still stands as it was read; whether it did."""
    same = Delivery.objects.filter(id=delivery.id, step=delivery.step, next_at=delivery.next_at)
    changed = same.update(**values) == 1
    for name, value in values.items():
        setattr(delivery, name, value)
    return changed


def _mail(claimed: Claimed, now: datetime) -> EmailMultiAlternatives:
    words = wording(claimed.person, claimed.told, now=now)
    mail = EmailMultiAlternatives(
        subject=words.subject, body=words.text, to=[claimed.person.email],
        headers={"Message-ID": claimed.message_id, "Auto-Submitted": "auto-generated"},
    )  # fmt: skip
    mail.attach_alternative(words.html, "text/html")
    return mail


def _note_sent(claimed: Claimed, now: datetime) -> None:
    """Whoever holds the claim by now: what has gone out has gone out."""
    mine = Delivery.objects.filter(id__in=[d.id for d in claimed.deliveries])
    mine.update(step=Step.SENT, sent_at=now, next_at=None, error="")


def _note_failure(claimed: Claimed, now: datetime, problem: Exception, step: Delivery.Step) -> None:
    """Keep the reason; try again after a delay that doubles, and not for ever."""
    reason = f"{type(problem).__name__}: {problem}".replace(claimed.person.email, "(their address)")[:500]
    logger.warning("reminder for %s not sent: %s", claimed.person.id, reason)
    for delivery in claimed.deliveries:
        if delivery.tries >= MOST_TRIES:
            _change(delivery, step=Step.GIVEN_UP, next_at=None, error=reason)
        else:
            delay = min(FIRST_DELAY * 2 ** (delivery.tries - 1), LONGEST_DELAY)
            _change(delivery, step=step, next_at=now + delay, error=reason)


def _close_what_is_over(now: datetime) -> None:
    """Settle deliveries that are no longer to be made: answered, ended, switched off, or tried too often."""
    scheduled = {identity(u.due) for u in _unsettled(now)}
    for delivery in _open_deliveries(now):
        if identity(delivery) not in scheduled:
            reason = "it was answered or ended before it could be sent"
            _change(delivery, step=Step.SKIPPED, next_at=None, error=reason)
        elif delivery.tries >= MOST_TRIES:
            reason = delivery.error or "the sender ended each time"
            _change(delivery, step=Step.GIVEN_UP, next_at=None, error=reason)


@transaction.atomic
def forgive_past(now: datetime) -> int:
    """Settle unsent what is past already: nobody wants the mails of a log that was just loaded. How many."""
    past = [u.due for u in _unsettled(now) if u.delivery is None]
    rows = []
    for due in past:
        wait_key, kind, person, channel, attempt = identity(due)
        rows.append(
            Delivery(
                wait_key=wait_key, kind=kind, person=person, channel=channel, attempt=attempt,
                due_at=due.due_at, step=Step.SKIPPED, claimed_at=now, tries=0,
                error="its time had passed when the log was loaded",
            )  # fmt: skip
        )
    Delivery.objects.bulk_create(rows)
    return len(rows)


def identity(row: ReminderDue | Delivery) -> tuple[int, str, str, str, int]:
    """What makes a reminder this one and no other."""
    key = row.about_key if isinstance(row, ReminderDue) else row.wait_key
    return key, str(row.kind), row.person, str(row.channel), row.attempt


def _message_id(identities: Iterable[tuple[int, str, str, str, int]]) -> str:
    """The same for the same reminders of the same shop, whose first event no other shop has."""
    shop = Event.objects.values_list("hash", flat=True).get(seq=1)
    digest = hashlib.sha256(dumps([shop, *sorted(identities)]).encode("utf-8")).hexdigest()
    return f"<{digest[:32]}@{parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition('@')[2]}>"


def _unsettled(now: datetime) -> list[Unsettled]:
    """Every reminder by mail whose time has come and that is neither sent nor settled otherwise."""
    people = Person.objects.filter(is_active=True, reminders_by_mail=True).exclude(email="")
    dues = list(
        ReminderDue.objects.filter(
            Q(wait__step=Wait.Step.RUNNING) | Q(task__isnull=False, task__done_at=None),
            channel=Channel.MAIL, due_at__lte=now, person__in=people.values("id"),
        )
        .select_related(
            "wait__stage__piece__commission", "wait__estimate", "task__piece__commission",
        )
        .order_by("due_at", "wait_id", "task_id", "kind", "person")
    )  # fmt: skip
    rows = Delivery.objects.filter(channel=Channel.MAIL, wait_key__in={d.about_key for d in dues})
    begun = {identity(row): row for row in rows}
    return [
        Unsettled(due=due, delivery=row, late=due.kind not in AT_ONCE and now - due.due_at > LATE)
        for due in dues
        if (row := begun.get(identity(due))) is None or row.step in (Step.CLAIMED, Step.FAILED)
    ]


def _open_deliveries(now: datetime) -> list[Delivery]:
    return list(Delivery.objects.filter(channel=Channel.MAIL, next_at__lte=now))
