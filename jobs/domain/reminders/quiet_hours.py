"""Quiet hours: they hold back a person's mails and pushes, with exceptions."""

from datetime import datetime, time, timedelta

from django.utils import timezone

from jobs.domain.reminders.kinds.base import ReminderKind
from jobs.models import Person


def delivery_time(
    person: Person, kind: ReminderKind, at: datetime, *, since: datetime, may_wake: bool = False
) -> datetime:
    """Return when a reminder due ``at`` goes out to this person.

    A reminder in quiet hours waits for their end. If a window closes in them, its reminder goes out as they
    begin. If the person began the wait in them, and so is up anyway, it goes out at once. Rags, dust and
    kinds that ``may_wake`` the person do not wait.
    """
    if may_wake or kind.always_wakes or (span := quiet_span(person, at)) is None:
        return at
    begin, end = span
    if not kind.before_quiet:
        return end
    return at if since >= begin else begin


def quiet_span(person: Person, at: datetime) -> tuple[datetime, datetime] | None:
    """Return the quiet hours around a moment, on the shop's clock; their end is outside them."""
    if not (person.quiet_from and person.quiet_to) or person.quiet_from == person.quiet_to:
        return None
    start, stop = time.fromisoformat(person.quiet_from), time.fromisoformat(person.quiet_to)
    local = timezone.localtime(at)
    for day in (local.date() - timedelta(days=1), local.date()):
        until = day if start < stop else day + timedelta(days=1)
        begin, end = (datetime.combine(d, t, tzinfo=local.tzinfo) for d, t in ((day, start), (until, stop)))
        if begin <= local < end:
            return begin, end
    return None
