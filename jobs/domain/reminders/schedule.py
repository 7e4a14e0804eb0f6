"""The schedule of one reminder to one person: channels, times, repeats, and times that moved."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from jobs.domain.reminders.kinds import KINDS, WAIT_KINDS
from jobs.domain.reminders.kinds.base import Preference, ReminderKind
from jobs.domain.reminders.kinds.waits import NotYet
from jobs.domain.reminders.preferences import MOST_REPEATS, RecipientDirectory
from jobs.domain.reminders.quiet_hours import delivery_time
from jobs.models import Channel, Delivery, Person, ReminderDue, ReminderReply

MOVED = timedelta(minutes=15)
"""A told time that moves by this much is taken back."""
REPEAT = 1000
"""Each repeat adds this to the number of its attempt."""
WHOLE = (
    "wait_id", "task_id", "subject", "occasion", "kind", "person", "channel", "attempt", "due_at",
)  # fmt: skip
"""The columns that make a row."""


class Told:
    """The newest delivery of each reminder about waits; a told time that moved is taken back."""

    def __init__(self, deliveries: Iterable[Delivery]) -> None:
        rows = sorted(deliveries, key=lambda d: (d.attempt % REPEAT, d.attempt))
        self.sent = {(d.wait_key, d.kind, d.person, d.channel): d for d in rows}

    @classmethod
    def before(cls, waits: Iterable[int]) -> "Told":
        """Read the ledger of these waits."""
        kinds = [*(key for key, kind in WAIT_KINDS.items() if kind.tells_ready), NotYet.key]
        return cls(Delivery.objects.filter(wait_key__in=waits, kind__in=kinds, step=Delivery.Step.SENT))

    def moved(self, due: ReminderDue, at: datetime) -> Delivery | None:
        """Return the delivery that told this person a time that moved since; None where there is none."""
        if not WAIT_KINDS[due.kind].tells_ready:
            return None
        about = (due.about_key, due.kind, due.person, due.channel)
        sent = self.sent.get(about)
        if sent is None or sent.told_at is None:
            return None
        taken_back = self.sent.get((due.about_key, NotYet.key, due.person, due.channel))
        if taken_back is not None and taken_back.attempt >= sent.attempt % REPEAT:
            return sent
        return sent if at - sent.told_at >= MOVED else None

    def attempt(self, due: ReminderDue) -> int:
        """Return the number of the newest attempt sent; 0 where none was."""
        sent = self.sent.get((due.about_key, due.kind, due.person, due.channel))
        return sent.attempt % REPEAT if sent else 0


def replace_schedule(standing: QuerySet[ReminderDue], wanted: Iterable[ReminderDue]) -> None:
    """Replace the scheduled rows; leave unchanged rows alone."""
    before = {tuple(row): key for key, *row in standing.values_list("id", *WHOLE)}
    after = {tuple(getattr(row, name) for name in WHOLE): row for row in wanted}
    gone = [key for row, key in before.items() if row not in after]
    if gone:
        ReminderDue.objects.filter(id__in=gone).delete()
    ReminderDue.objects.bulk_create(row for said, row in after.items() if said not in before)


def build_schedule(
    about: dict[str, Any],
    kind: ReminderKind,
    at: datetime,
    person: Person,
    mine: list[ReminderReply],
    *,
    since: datetime,
    audience: RecipientDirectory,
    told: Told | None = None,
) -> list[ReminderDue]:
    """Return the rows of one reminder to one person, by that person's replies and what was told."""
    answered = any(r.snoozed_until is None for r in mine)
    if answered and told is None:
        return []
    wish, found = audience.wish(person, kind), []
    snoozed = mine[-1].snoozed_until if mine and not answered else None
    early = max(min(since, at), at - timedelta(minutes=wish.lead_min))
    for channel in audience.channels(person, kind):
        moment = at if channel == Channel.SCREEN else delivery_time(
            person, kind, early, since=since, may_wake=wish.may_wake
        )  # fmt: skip
        row = ReminderDue(
            **about,
            kind=kind.key,
            person=person.id,
            channel=channel,
            attempt=len(mine) + 1,
            due_at=snoozed or moment,
        )
        for each in [row] if told is None else _taken_back(row, at, told, answered=answered):
            found += [each, *_repeats(each, about, person, wish, since)]
    return found


def _taken_back(row: ReminderDue, at: datetime, told: Told, *, answered: bool) -> list[ReminderDue]:
    """Return the row unless it is answered.

    Where a told time moved, return a "not yet" for now and the reminder again.
    """
    row.attempt = max(row.attempt, told.attempt(row))
    sent = told.moved(row, at)
    if sent is None:
        return [] if answered else [row]
    assert sent.sent_at is not None, "what was sent has its moment"
    row.attempt = max(row.attempt, sent.attempt % REPEAT + 1)
    not_yet = ReminderDue(
        wait=row.wait,
        kind=NotYet.key,
        person=row.person,
        channel=row.channel,
        attempt=sent.attempt % REPEAT,
        due_at=sent.sent_at,
    )
    return [not_yet, row]


def _repeats(
    row: ReminderDue, about: dict[str, Any], person: Person, wish: Preference, since: datetime
) -> list[ReminderDue]:
    """Return the repeats of a row until it is answered, up to ``MOST_REPEATS``, each later than the last."""
    kind = KINDS[row.kind]
    if not wish.repeat_min or row.channel == Channel.SCREEN or kind.at_once:
        return []
    found, last = [], row.due_at
    for n in range(1, MOST_REPEATS + 1):
        again = row.due_at + n * timedelta(minutes=wish.repeat_min)
        moment = delivery_time(person, kind, again, since=since, may_wake=wish.may_wake)
        if moment > last:
            found.append(
                ReminderDue(
                    **about,
                    kind=row.kind,
                    person=row.person,
                    channel=row.channel,
                    attempt=row.attempt + n * REPEAT,
                    due_at=moment,
                )  # fmt: skip
            )
            last = moment
    return found
