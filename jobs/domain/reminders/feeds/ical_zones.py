"""A zone as a VTIMEZONE (RFC 5545, 3.6.5), from the zone database of this machine.

It lists each change of the offset within a span of days, so no rule has to be guessed.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

DAY, SECOND = timedelta(days=1), timedelta(seconds=1)


def described(zone: ZoneInfo, *, first: date, last: date) -> Timezone:
    """Return the zone between two days."""
    found = Timezone()
    found.add("tzid", str(zone))
    start = datetime.combine(first, time(), tzinfo=UTC)
    found.add_component(_observance(start, start, zone))
    for change in changes(zone, first=first, last=last):
        found.add_component(_observance(change - SECOND, change, zone))
    return found


def changes(zone: ZoneInfo, *, first: date, last: date) -> Iterator[datetime]:
    """Yield each moment [UTC] in this span at which the zone's offset or name changes."""
    at, end = datetime.combine(first, time(), tzinfo=UTC), datetime.combine(last, time(), tzinfo=UTC)
    while at < end:
        if _kind(at, zone) != _kind(at + DAY, zone):
            yield _between(at, at + DAY, zone)
        at += DAY


def _between(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    kind = _kind(before, zone)
    while after - before > SECOND:
        middle = before + timedelta(seconds=int((after - before).total_seconds()) // 2)
        before, after = (middle, after) if _kind(middle, zone) == kind else (before, middle)
    return after


def _kind(moment: datetime, zone: ZoneInfo) -> tuple[timedelta | None, str | None, timedelta | None]:
    local = moment.astimezone(zone)
    return local.utcoffset(), local.tzname(), local.dst()


def _observance(before: datetime, change: datetime, zone: ZoneInfo) -> TimezoneStandard | TimezoneDaylight:
    """Return the offset after a change. Its start is local time by the offset before."""
    old, new = before.astimezone(zone), change.astimezone(zone)
    offset = old.utcoffset()
    assert offset is not None
    part = TimezoneDaylight() if new.dst() else TimezoneStandard()
    part.add("dtstart", (change + offset).replace(tzinfo=None))
    part.add("tzoffsetfrom", offset)
    part.add("tzoffsetto", new.utcoffset())
    part.add("tzname", new.tzname())
    return part
