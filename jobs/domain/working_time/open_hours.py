"""Open hours of people as moments, blackout dates and weights of promises: what the plan is made from."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from jobs.core.command_cache import read_once
from jobs.domain.settings import settings
from jobs.domain.working_time.clocks import DAY_MINUTES, Minutes, StoredWeek, minute_of, minutes_of, without
from jobs.models import Blackout, Commission, DayOff, Person, WorkingHours

NOON = (12 * 60, 13 * 60)
"""The hour at noon that nobody works unless they say so: common practice, no source."""
WORKDAYS = 5
NO_DAYS: StoredWeek = [[], [], [], [], [], [], []]
Span = tuple[datetime, datetime]


@dataclass(frozen=True, kw_only=True)
class Spans:
    """When one person can work, in order, as moments in UTC: differences hold over a change of the clock.

    ``usual`` is working time. ``unwanted`` may be worked where it must be. ``back`` is after work: then glue
    may be scraped, nothing else.
    """

    usual: list[Span] = field(default_factory=list)
    unwanted: list[Span] = field(default_factory=list)
    back: list[Span] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True)
class Week:
    """The hours of one person in minutes of the day, seven days from Monday on."""

    usual: list[list[Minutes]]
    unwanted: list[list[Minutes]]
    back_until: int = 0

    @property
    def is_empty(self) -> bool:
        """Return whether the person works on no day, not even where it must be."""
        return not any(self.usual) and not any(self.unwanted)

    def back(self, weekday: int) -> list[Minutes]:
        """Return the time after the last span of a day of work until which the person may come back."""
        if not self.usual[weekday]:
            return []
        closes = max(end for _, end in (*self.usual[weekday], *self.unwanted[weekday]))
        return [(closes, self.back_until)] if closes < self.back_until else []


def person_ids() -> list[str]:
    """Return the ids of everybody who works here now, by name."""
    found = Person.objects.filter(is_active=True).order_by("name", "username")
    return list(found.values_list("id", flat=True))


def idle_people() -> list[str]:
    """Return the ids of those who work here now but have no hours on any day."""
    ids = person_ids()
    weeks = weeks_of(ids)
    return [one for one in ids if weeks[one].is_empty]


def open_spans(person_ids: Collection[str], first: date, last: date) -> dict[str, Spans]:
    """Return when each of these people can work from a day to another, both included.

    Days off and holidays of the shop are left out; appointments are not. Somebody who works here no longer,
    or is not known, has no spans.
    """
    here = set(Person.objects.filter(id__in=person_ids, is_active=True).values_list("id", flat=True))
    weeks, off = weeks_of(sorted(here)), _days_off(first, last)
    return {
        one: _spans(weeks[one], off[""] + off[one], first, last) if one in here else Spans()
        for one in person_ids
    }


def _spans(week: Week, off: Sequence[DayOff], first: date, last: date) -> Spans:
    found = Spans()
    for day in days_between(first, last):
        away = [_away(one) for one in off if one.first <= day <= one.last]
        n = day.weekday()
        found.usual.extend(_moments(day, without(week.usual[n], away)))
        found.unwanted.extend(_moments(day, without(week.unwanted[n], away)))
        found.back.extend(_moments(day, without(week.back(n), away)))
    return found


def _away(one: DayOff) -> Minutes:
    begins = minute_of(one.begins, field="begins") if one.begins else 0
    return begins, minute_of(one.ends, field="ends") if one.ends else DAY_MINUTES


def _moments(day: date, spans: Sequence[Minutes]) -> Iterator[Span]:
    """Yield spans of a day as moments; what the clock skips in spring is left out."""
    free_from = moment_of(day, 0)
    for a, b in spans:
        begins, ends = max(moment_of(day, a), free_from), moment_of(day, b)
        if begins < ends:
            yield begins, ends
            free_from = ends


def moment_of(day: date, minute: int) -> datetime:
    """Return the moment in UTC of a minute on the shop's clock; where it shows it twice, the first one."""
    naive = datetime.combine(day, time()) + timedelta(minutes=minute)
    return timezone.make_aware(naive).astimezone(UTC)


def days_between(first: date, last: date) -> Iterator[date]:
    """Yield the days from one to another, both included."""
    for n in range((last - first).days + 1):
        yield first + timedelta(days=n)


def _days_off(first: date, last: date) -> dict[str, list[DayOff]]:
    """Return the days off that touch these days, by person; holidays of the shop under an empty name."""
    found: dict[str, list[DayOff]] = defaultdict(list)
    for one in DayOff.objects.filter(is_cancelled=False, first__lte=last, last__gte=first):
        found[one.person].append(one)
    return found


def weeks_of(person_ids: Collection[str]) -> dict[str, Week]:
    """Return the hours of people; of somebody who set none, the usual ones of the shop."""
    set_hours = {row.person: row for row in WorkingHours.objects.filter(person__in=person_ids)}
    usual = usual_week()
    return {one: week_of(set_hours.get(one), usual) for one in person_ids}


def week_of(row: WorkingHours | None, usual: list[list[Minutes]]) -> Week:
    """Return stored hours in minutes; the usual ones of the shop where there are none."""
    week = row.week if row and row.week is not None else None
    return Week(
        usual=usual if week is None else [minutes_of(day) for day in week],
        unwanted=[minutes_of(day) for day in row.unwanted or NO_DAYS] if row else [[] for _ in NO_DAYS],
        back_until=minute_of(row.back_until, field="back_until") if row and row.back_until else 0,
    )


@read_once("shop_set")
def usual_week() -> list[list[Minutes]]:
    """Return the shop's usual hours: Monday to Friday from morning to closing, without an hour at noon."""
    opens = minute_of(str(settings()["morning"]), field="morning")
    closes = minute_of(str(settings()["closing_time"]), field="closing_time")
    day = [(opens, closes)] if opens < closes else []
    if opens < NOON[0] and closes > NOON[1]:
        day = without(day, [NOON])
    return [list(day) for _ in range(WORKDAYS)] + [[] for _ in range(7 - WORKDAYS)]


def shop_holidays(first: date, last: date) -> list[tuple[date, date]]:
    """Return the whole days on which the shop is closed, as first and last days."""
    found = DayOff.objects.filter(person="", is_cancelled=False, first__lte=last, last__gte=first)
    return [(one.first, one.last) for one in found if not one.begins and not one.ends]


def blackouts(numbers: Collection[str]) -> dict[str, list[tuple[date, date]]]:
    """Return the days on which the client of each commission takes nothing, as first and last days."""
    found: dict[str, list[tuple[date, date]]] = {number: [] for number in numbers}
    rows = Blackout.objects.filter(commission__number__in=numbers, is_cancelled=False)
    for number, first, last in rows.order_by("first", "id").values_list(
        "commission__number", "first", "last"
    ):
        found[number].append((first, last))
    return found


def weights(numbers: Collection[str]) -> dict[str, int]:
    """Return how many times a late day of each commission counts: 1, 2 or 4."""
    found = dict(Commission.objects.filter(number__in=numbers).values_list("number", "promise_weight"))
    return {number: found.get(number, 1) for number in numbers}


def interruption_share() -> Decimal:
    """Return the share of working time that goes to other things than stages, from 0 to 1."""
    return Decimal(settings()["interruptions_pct"]) / 100
