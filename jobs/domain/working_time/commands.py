"""Commands on hours of people, days off and holidays. The owner sets all, a maker their own days off."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from jobs.core.errors import AlreadyDone, Invalid, NotFound
from jobs.domain.checks import in_range
from jobs.domain.working_time.abilities import read_limits
from jobs.domain.working_time.clocks import (
    MOST_SPANS,
    MOST_UNWANTED,
    StoredWeek,
    minute_of,
    read_week,
    refuse_overlaps,
    span_of,
)
from jobs.domain.working_time.open_hours import NO_DAYS, usual_week, week_of
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import DayOff, Person, WorkingHours

STREAM = "working-time"
FARTHEST, LONGEST_AGO = timedelta(days=3 * 365), timedelta(days=365)
LONGEST = 366
"""Days of one entry at most."""
LONGEST_REASON = 400


@command
def set_working_hours(
    tx: CommandTransaction,
    *,
    who: str,
    week: StoredWeek | None = None,
    unwanted: StoredWeek | None = None,
    back_until: str = "",
    limits: Mapping[str, str] | None = None,
) -> None:
    """Set the hours of a person; all that is said replaces what stood there.

    ``week`` and ``unwanted`` are seven days from Monday on, each with spans such as ``["08:00", "12:00"]``.
    None for ``week`` stands for the usual hours of the shop. ``unwanted`` is worked only where it must be.
    """
    tx.require_owner("hours of work")
    person = somebody_here(who)
    row = WorkingHours.objects.filter(person=person.id).first()
    tx.check_version(row.version if row else 0, what=f"the hours of {person}")
    read = None if week is None else read_week(week, field="week", most=MOST_SPANS)
    extra = read_week(unwanted or NO_DAYS, field="unwanted", most=MOST_UNWANTED)
    _check_together(WorkingHours(week=read, unwanted=extra), back_until)
    data = {"week": read, "unwanted": extra, "back_until": back_until, "limits": read_limits(limits or {})}
    tx.append("working_hours_set", STREAM, {"person": person.id, **data})


def _check_together(said: WorkingHours, back_until: str) -> None:
    """Refuse hours that overlap those worked only where it must be, and coming back before one has left."""
    week = week_of(said, usual_week())
    for n, day in enumerate(week.usual):
        refuse_overlaps(sorted([*day, *week.unwanted[n]]), field=f"unwanted[{n}]")
    if not back_until:
        return
    until = minute_of(back_until, field="back_until")
    ends = [day[-1][1] for day in week.usual if day]
    if not ends or until <= min(ends):
        raise Invalid(
            "nobody comes back before they have left", field="back_until", value=back_until,
            allowed="a time after the end of a day of work",
        )  # fmt: skip


def somebody_here(key: str) -> Person:
    """Return a person who works here; refuse any other."""
    found = Person.objects.filter(id=key, is_active=True).first()
    if found is None:
        raise Invalid("nobody here has this key", field="who", value=key[:40], allowed="a person here")
    return found


@command
def set_day_off(
    tx: CommandTransaction,
    *,
    first: date,
    last: date | None = None,
    who: str = "",
    begins: str = "",
    ends: str = "",
    reason: str = "",
) -> None:
    """Set days on which a person is away, or a holiday of the whole shop where ``who`` is empty.

    A part of a day has a clock in ``begins``, ``ends`` or both. Without ``last`` it is a single day.
    """
    person = _away(tx, who)
    last = first if last is None else last
    check_days(first, last, tx.call.day)
    _check_part(first, last, begins, ends)
    same = DayOff.objects.filter(
        person=person, first=first, last=last, begins=begins, ends=ends, is_cancelled=False
    )
    if same.exists():
        raise AlreadyDone("this is set already", field="first", value=first, allowed="other days")
    kept = store_private_text(reason, field="reason", longest=LONGEST_REASON, one_line=True)
    data: dict[str, Any] = {"first": first, "last": last, "begins": begins, "ends": ends, "reason": kept}
    tx.append("day_off_set", STREAM, {"person": person, **data})


def _away(tx: CommandTransaction, who: str) -> str:
    """Return the id of the person who is away, empty for the shop; refuse what the caller may not set."""
    person = somebody_here(who).id if who else ""
    if person != tx.call.by:
        tx.require_owner("a day off of somebody else" if person else "a holiday of the shop")
    return person


def check_days(first: date, last: date, today: date) -> None:
    """Refuse days that end before they begin, are too many or too far off. Called by other commands."""
    in_range(first, today - LONGEST_AGO, today + FARTHEST, "this day is too far off", field="first")
    if last < first:
        raise Invalid(
            "the last day is before the first", field="last", value=last, allowed=f"{first} or later"
        )
    in_range(last, first, first + timedelta(days=LONGEST - 1), "these are too many days", field="last")


def _check_part(first: date, last: date, begins: str, ends: str) -> None:
    if not begins and not ends:
        return
    if first != last:
        raise Invalid(
            "a part of a day is of one day", field="last", value=last, allowed=f"{first}, or no times"
        )
    span_of(begins or "00:00", ends or "24:00", field="begins" if begins else "ends")


@command
def cancel_day_off(tx: CommandTransaction, *, day_off: int) -> None:
    """Take back a day off or a holiday of the shop."""
    found = DayOff.objects.filter(id=day_off).first()
    if found is None:
        raise NotFound("there is no such day off", field="day_off", value=day_off)
    if found.person != tx.call.by:
        tx.require_owner("a day off of somebody else" if found.person else "a holiday of the shop")
    if found.is_cancelled:
        raise AlreadyDone("it is taken back already", field="day_off", value=day_off, allowed="another one")
    tx.check_version(found.version, what=f"day off {day_off}")
    tx.append("day_off_cancelled", STREAM, {"day_off": day_off})
