"""The plan over some days: who does what, what waits, what was promised, what moved, the hours left."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from jobs.domain.overviews.plan.blocks import (
    Block,
    blocks_done,
    blocks_of_dates,
    blocks_of_work,
    day_of,
)
from jobs.domain.overviews.plan.names import PlanNames, read_names, stages_of
from jobs.domain.planning.assignments import people_here
from jobs.domain.planning.published import Moved, PlannedWait, Published
from jobs.domain.planning.publishing import current, moved_since
from jobs.domain.planning.queries import planned_between
from jobs.domain.promising.risks import with_risks
from jobs.domain.working_time.open_hours import Spans, open_spans
from jobs.models import Approval, Commission, Person

WEEKS_FREE = 4
DAY = timedelta(days=1)
WEEK = timedelta(days=7)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What lies with a client to be approved."""

    commission: str
    piece: str
    what: str
    since: datetime


@dataclass(frozen=True, kw_only=True)
class FreeWeek:
    """Hours of a week: open from now on, and what no work is planned in [min]."""

    monday: date
    open_min: int
    free_min: int


@dataclass(frozen=True, kw_only=True)
class PlanDays:
    """What the plan says of some days. Without a plan there is no work in it, but dates and what is done."""

    first: date
    last: date
    now: datetime
    plan: Published | None
    people: list[Person]
    blocks: list[Block]
    waits: list[PlannedWait]
    asked: list[Asked]
    moved: list[Moved]
    free: list[FreeWeek]
    open_min: Mapping[tuple[str, date], int]
    unwanted: Mapping[str, list[tuple[datetime, datetime]]]
    names: PlanNames

    @property
    def days(self) -> list[date]:
        """Return the days in their order."""
        return [self.first + n * DAY for n in range((self.last - self.first).days + 1)]

    @property
    def today(self) -> date:
        """Return the day on which it is looked at."""
        return timezone.localtime(self.now).date()

    @property
    def has_hours(self) -> bool:
        """Return whether anybody has working hours in the weeks that were read."""
        return any(self.open_min.values())

    def of_day(self, day: date, person: str = "") -> list[Block]:
        """Return the blocks of a day, of one person where named, in the order of time."""
        found = [b for b in self.blocks if b.day == day and (not person or person in b.people)]
        return sorted(found, key=lambda b: (not b.all_day, b.begins, b.piece, b.stage))


def monday_of(day: date) -> date:
    """Return the Monday of the week of a day."""
    return day - timedelta(days=day.weekday())


def plan_days(first: date, last: date, *, now: datetime, owner: bool) -> PlanDays:
    """Return what the plan says of the days from first to last, in a fixed number of queries."""
    said, people = current(), people_here()
    plan = with_risks(said) if said else None
    today = timezone.localtime(now).date()
    week = monday_of(today)
    work = [one for one in plan.work if first <= day_of(one.begins) <= last] if plan else []
    waits = [one for one in plan.waits if _touches(one, first, last)] if plan else []
    moved = _of_orders(plan, moved_since(today - DAY)) if plan else []
    asked = _asked()
    dates = planned_between(min(first, today), last)
    names = read_names(
        commissions={
            *(one.commission for one in (plan.finishes if plan else ())),
            *(one.commission for one in asked),
        },
        stages=stages_of(work, waits, moved, plan.not_planned if plan else ()),
        done_since=_begin(first) if first <= today else None,
        more_rows=[*dates, *(one.commission for one in dates if one.commission)],
    )
    by_stage = {(one.piece, one.stage): one for one in moved if one.stage}
    keys = [one.id for one in people]
    spans = open_spans(keys, min(first, week), max(last, week + WEEKS_FREE * WEEK - DAY))
    return PlanDays(
        first=first,
        last=last,
        now=now,
        plan=plan,
        people=people,
        blocks=[
            *(blocks_of_work(work, plan, names, by_stage, owner=owner) if plan else ()),
            *blocks_done(names, first, last, owner=owner),
            *_given(blocks_of_dates([d for d in dates if first <= d.day <= last], names), people),
        ],
        waits=waits,
        asked=asked,
        moved=_first_told(one for one in moved if owner or not names.is_owners(one.piece, one.stage)),
        free=_free(plan, spans, week, now),
        open_min=_open_minutes(spans),
        unwanted={key: found.unwanted for key, found in spans.items()},
        names=names,
    )


def _of_orders(plan: Published, moved: Iterable[Moved]) -> list[Moved]:
    """Return what moved of accepted commissions; what only may come moves at every change of the others."""
    maybes = {one.commission for one in plan.finishes if one.maybe}
    return [one for one in moved if one.commission not in maybes]


def _first_told(moved: Iterable[Moved]) -> list[Moved]:
    """Return what moved: days of commissions first, then work to another day, then work within its day."""
    return sorted(
        moved, key=lambda m: (bool(m.stage), day_of(m.was) == day_of(m.becomes), m.becomes, m.piece)
    )


def _touches(one: PlannedWait, first: date, last: date) -> bool:
    return day_of(one.begins) <= last and day_of(one.closes or one.ends) >= first


def _begin(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time()))


def _asked() -> list[Asked]:
    """Return what lies with clients to be approved, each by its last asking."""
    open_ones = Approval.objects.filter(approved_at=None, commission__step__in=Commission.UNDELIVERED)
    rows = open_ones.order_by("asked_at", "id").values_list("commission__number", "piece", "what", "asked_at")
    found = {
        (piece, what): Asked(commission=c, piece=piece, what=what, since=at) for c, piece, what, at in rows
    }
    return list(found.values())


def _given(dates: Iterable[Block], people: list[Person]) -> list[Block]:
    """Return dates with somebody who goes: where nobody is named, the first of the shop."""
    first = tuple(one.id for one in people if one.is_owner)[:1] or tuple(one.id for one in people)[:1]
    return [Block(**{**vars(one), "people": one.people or first}) for one in dates]


def _open_minutes(spans: Mapping[str, Spans]) -> dict[tuple[str, date], int]:
    found: dict[tuple[str, date], int] = {}
    for person, of_person in spans.items():
        for begins, ends in of_person.usual:
            key = (person, day_of(begins))
            found[key] = found.get(key, 0) + round((ends - begins) / timedelta(minutes=1))
    return found


def _free(plan: Published | None, spans: Mapping[str, Spans], week: date, now: datetime) -> list[FreeWeek]:
    """Return the hours that are left from now on, by week."""
    found = []
    for n in range(WEEKS_FREE):
        monday = week + n * WEEK
        begins, ends = max(now, _begin(monday)), _begin(monday + WEEK)
        is_open = sum(_within(span, begins, ends) for one in spans.values() for span in one.usual)
        planned = sum(
            _within((one.begins, one.ends), begins, ends) * len(one.people)
            for one in (plan.work if plan else ())
            if not one.maybe
        )
        found.append(FreeWeek(monday=monday, open_min=is_open, free_min=max(0, is_open - planned)))
    return found


def _within(span: tuple[datetime, datetime], begins: datetime, ends: datetime) -> int:
    """Return how much of a span lies between two moments [min]."""
    return max(0, round((min(span[1], ends) - max(span[0], begins)) / timedelta(minutes=1)))
