"""Calendar entries as an iCalendar object (RFC 5545)."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, vDatetime, vDuration

from jobs.domain.reminders.feeds.entries import Words
from jobs.domain.reminders.feeds.ical_zones import described
from jobs.models import CalendarEntry

PRODUCT = "-//Shop log//Calendar feed//EN"
ASK_AGAIN = timedelta(minutes=15)
YEAR_AROUND = timedelta(days=366)


def feed(entries: Iterable[tuple[CalendarEntry, Words]], *, shop: str, zone: ZoneInfo, name: str) -> bytes:
    """Return the whole calendar. ``shop`` sets its identifiers apart from those of any other shop."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", ASK_AGAIN, parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", vDuration(ASK_AGAIN))
    found = list(entries)
    days = [moment.date() for e, _ in found for moment in (e.starts_at, e.ends_at) if moment]
    if days and not _is_utc(zone):
        first, last = min(days) - YEAR_AROUND, max(days) + YEAR_AROUND
        calendar.add_component(described(zone, first=first, last=last))
    for entry, words in found:
        calendar.add_component(_event(entry, words, shop=shop, zone=zone))
    return bytes(calendar.to_ical())


def _event(entry: CalendarEntry, words: Words, *, shop: str, zone: ZoneInfo) -> Event:
    event = Event()
    event.add("uid", f"{entry.about.replace(':', '-')}@{shop}")
    event.add("sequence", entry.sequence)
    for stamp, moment in (
        ("dtstamp", entry.modified_at), ("created", entry.added_at), ("last-modified", entry.modified_at),
    ):  # fmt: skip
        event.add(stamp, moment.astimezone(UTC))
    event.add("summary", words.summary)
    event.add("description", words.description)
    event.add("url", words.link)
    event.add("transp", "TRANSPARENT")
    _add_times(event, entry, zone)
    if entry.cancelled_at is not None:
        event.add("status", "CANCELLED")
        return event
    event.add("status", "CONFIRMED")
    for alarm in (entry.alarm_at, entry.second_alarm_at):
        if alarm is not None:
            event.add_component(_alarm(alarm, words))
    return event


def _add_times(event: Event, entry: CalendarEntry, zone: ZoneInfo) -> None:
    if entry.day is not None:
        event.add("dtstart", entry.day)
        event.add("dtend", entry.day + timedelta(days=1))
        return
    assert entry.starts_at is not None, "an entry without a day has a start"
    times = {"dtstart": entry.starts_at, "dtend": entry.ends_at}
    shown = in_zone([t for t in times.values() if t], zone)
    for name, moment in times.items():
        if moment is not None:
            event.add(name, moment.astimezone(shown))


def in_zone(moments: Iterable[datetime], zone: ZoneInfo) -> tzinfo:
    """Return the shop's zone, or UTC if a moment lies in the hour that comes twice.

    There, local time would name only the first of the two hours.
    """
    again = any(_comes_again(moment.astimezone(zone)) for moment in moments)
    return UTC if again or _is_utc(zone) else zone


def _is_utc(zone: ZoneInfo) -> bool:
    return str(zone) in ("UTC", "Etc/UTC")


def _comes_again(local: datetime) -> bool:
    return local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset()


def _alarm(moment: datetime, words: Words) -> Alarm:
    """Return an alarm at a moment, not so long before: a moment is the same in every zone."""
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", words.summary)
    alarm.add("trigger", vDatetime(moment.astimezone(UTC)), parameters={"VALUE": "DATE-TIME"})
    return alarm
