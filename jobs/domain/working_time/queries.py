"""Hours, days off and a client's days as pages and the API read them."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import F
from django.utils.dateformat import format as date_format

from jobs.domain.lookups import existing
from jobs.domain.working_time.clocks import Minutes, clock_of
from jobs.domain.working_time.open_hours import usual_week, week_of
from jobs.log.private_texts import Texts, read, refs_of
from jobs.log.projections.working_time import FIRMNESS
from jobs.models import Blackout, Commission, DayOff, Person, WorkingHours

Row = dict[str, Any]


def hours_views() -> list[Row]:
    """Return the hours of everybody who works here, by name, in three queries."""
    people = list(Person.objects.filter(is_active=True).order_by("name", "username"))
    rows = {row.person: row for row in WorkingHours.objects.filter(person__in=[one.id for one in people])}
    usual = usual_week()
    return [hours_view(one, rows.get(one.id), usual) for one in people]


def hours_view(person: Person, row: WorkingHours | None, usual: list[list[Minutes]]) -> Row:
    """Return the hours of one person; ``is_usual`` where they are those of the shop."""
    week = week_of(row, usual)
    return {
        "person": person.id,
        "name": str(person),
        "is_usual": row is None or row.week is None,
        "week": clocks_of(week.usual),
        "unwanted": clocks_of(week.unwanted),
        "back_until": row.back_until if row else "",
        "limits": dict(row.limits) if row else {},
        "minutes_a_week": sum(b - a for day in week.usual for a, b in day),
        "version": row.version if row else 0,
    }


def clocks_of(week: list[list[Minutes]]) -> list[list[list[str]]]:
    """Return a week in minutes as clocks: each day with its spans."""
    return [[[clock_of(a), clock_of(b)] for a, b in day] for day in week]


def days_off_views(today: date) -> list[Row]:
    """Return the days off and holidays that are not over, the next one first."""
    found = list(DayOff.objects.filter(is_cancelled=False, last__gte=today))
    texts = Texts(refs_of(found))
    here = {one.person for one in found}
    names = {one.id: str(one) for one in Person.objects.filter(id__in=here)} if here - {""} else {}
    return [day_off_view(one, texts, names.get(one.person, "")) for one in found]


def one_day_off(key: int) -> Row:
    """Return a day off that holds; refuse one that is unknown or taken back."""
    found = existing(DayOff.objects.filter(id=key, is_cancelled=False), "day_off", key)
    person = Person.objects.filter(id=found.person).first() if found.person else None
    return day_off_view(found, Texts(refs_of([found])), str(person or ""))


def day_off_view(one: DayOff, texts: Texts, name: str) -> Row:
    """Return a day off with the name of who is away; the whole shop has none."""
    columns = ("id", "person", "first", "last", "begins", "ends", "version")
    return {**{name: getattr(one, name) for name in columns}, "name": name, "reason": texts[one.reason_ref]}


def blackout_views(rows: Iterable[Blackout]) -> list[Row]:
    """Return days on which clients take nothing, with their commission's number and title."""
    found = list(rows)
    texts = Texts(ref for one in found for ref in (one.reason_ref, one.commission.title_ref))
    return [
        {
            "id": one.id,
            "commission": one.commission.number,
            "commission_title": texts[one.commission.title_ref],
            "first": one.first,
            "last": one.last,
            "reason": texts[one.reason_ref],
            "version": one.version,
        }
        for one in found
    ]


def coming_blackouts(today: date, commission: Commission | None = None) -> list[Row]:
    """Return the days of clients that are not over: of one commission, or of all that are open."""
    found = Blackout.objects.select_related("commission").filter(is_cancelled=False, last__gte=today)
    if commission is not None:
        return blackout_views(found.filter(commission=commission))
    return blackout_views(found.exclude(commission__step__in=Commission.ENDED))


def firm_promises() -> list[Row]:
    """Return the open commissions whose promise counts more than usual, by their promised day."""
    found = Commission.objects.filter(promise_weight__gt=1, step__in=Commission.UNDELIVERED)
    rows = list(found.order_by(F("promise_on").asc(nulls_last=True), "number"))
    texts = Texts(one.title_ref for one in rows)
    return [
        {
            "commission": one.number,
            "commission_title": texts[one.title_ref],
            "promise_on": one.promise_on,
            "firmness": FIRMNESS[one.promise_weight],
        }
        for one in rows
    ]


def why_closed(day: date, commission: Commission | None) -> str:
    """Return why nothing should be agreed for a day, such as a holiday of the shop; empty where it may be."""
    whole = {"is_cancelled": False, "first__lte": day, "last__gte": day}
    holiday = DayOff.objects.filter(person="", begins="", ends="", **whole).first()
    if holiday is not None:
        reason = read(holiday.reason_ref)
        return f"the shop is closed on {date_format(day, 'l j F')}" + (f": {reason}" if reason else "")
    if commission is not None and Blackout.objects.filter(commission=commission, **whole).exists():
        return f"the client takes no delivery and no visit on {date_format(day, 'l j F')}"
    return ""
