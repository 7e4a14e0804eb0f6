"""What holds a commission up: when clamps are free, who has the finishing room, how many hours are left."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.utils import timezone

from calcs.planning.problem import SLOT_MINUTES, Hold, Task
from jobs.domain.planning.problem.places import DUST_FREE, FINISHING
from jobs.domain.promising.trying import Tried

CLAMPS = "clamps:"
WEEKS = 4
"""Weeks ahead whose hours left are averaged."""
MOST_ROOMS = 3
Taken = tuple[int, int, int]
"""First slot, slot after the last, units."""


@dataclass(frozen=True, kw_only=True)
class Holding:
    """What stands before a commission.

    ``clamps_from`` is the day from which enough clamps are free for its largest glue-up, None where it needs
    none. ``room`` names the commissions that keep the finishing room, each until a day. ``hours_left`` are
    hours of people a week that nothing is planned for, on average from ``hours_from`` on.
    """

    clamps_from: date | None = None
    room: dict[str, date] = field(default_factory=dict)
    hours_left: float = 0.0
    hours_from: date | None = None


def holding(plan: Tried, commission: str) -> Holding:
    """Return what holds a commission up in a plan that has it."""
    left, since = _hours_left(plan, commission)
    return Holding(
        clamps_from=_clamps_from(plan, commission), room=_room(plan, commission), hours_left=left,
        hours_from=since,
    )  # fmt: skip


def _of(plan: Tried, key: str) -> str:
    part = plan.shop.parts.get(key)
    return part.commission if part else ""


def _clamps_from(plan: Tried, commission: str) -> date | None:
    """Return the first day from which the clamps of its glue-ups are free for as long as it holds them."""
    ends = {task.key: plan.plan[task.key].start + task.slots for task in plan.problem.tasks}
    mine = [h for h in plan.problem.holds if h.first and _of(plan, h.first) == commission]
    found = [
        _free_from(plan, hold, ends, ends[hold.last] - plan.plan[hold.first].start, commission)
        for hold in mine
        if hold.resource.startswith(CLAMPS)
    ]
    return _day(plan, max(found)) if found else None


def _free_from(plan: Tried, hold: Hold, ends: dict[str, int], length: int, commission: str) -> int:
    resource = next(one for one in plan.problem.resources if one.key == hold.resource)
    taken: list[Taken] = [*resource.taken]
    for other in plan.problem.holds:
        if other.resource == hold.resource and _of(plan, other.last) != commission:
            since = plan.plan[other.first].start if other.first else 0
            taken.append((since, ends[other.last], other.units))
    spare = resource.capacity - hold.units
    for start in sorted({0, *(until for _, until, _ in taken)}):
        if _most_used(taken, start, start + length) <= spare:
            return start
    return plan.problem.horizon


def _most_used(taken: Iterable[Taken], since: int, until: int) -> int:
    """Return the most units in use at once between two slots."""
    inside = [(max(a, since), b, n) for a, b, n in taken if a < until and b > since]
    return max((sum(n for a, b, n in inside if a <= at < b) for at, _, _ in inside), default=0)


def _room(plan: Tried, commission: str) -> dict[str, date]:
    """Return until when other commissions keep the finishing room, the earliest first."""
    until: dict[str, int] = {}
    for task in plan.problem.tasks:
        number, kept = _of(plan, task.key), _kept(task)
        if kept and number and number != commission:
            until[number] = max(until.get(number, 0), plan.plan[task.key].start + kept)
    first = sorted(until.items(), key=lambda item: item[1])[:MOST_ROOMS]
    return {number: _day(plan, slot) for number, slot in first}


def _kept(task: Task) -> int:
    """Return for how many slots a task keeps the finishing room; 0 where it does not."""
    return max(task.keeps.get(FINISHING, 0), task.keeps.get(DUST_FREE, 0))


def _hours_left(plan: Tried, commission: str) -> tuple[float, date | None]:
    """Return the hours a week that are left, on average over the next whole weeks, and since when."""
    monday = _next_monday(plan.shop.now)
    first, last = (
        plan.shop.axis.first_from(_midnight(day)) for day in (monday, monday + timedelta(weeks=WEEKS))
    )
    people = {key for task in plan.problem.tasks for team in task.teams for key in team}
    opened = ((1 << max(0, last)) - 1) & ~((1 << max(0, first)) - 1)
    slots = sum((one.open & opened).bit_count() for one in plan.problem.resources if one.key in people)
    used = sum(max(0, min(end, last) - max(start, first)) for start, end in _worked(plan, commission))
    return max(0, slots - used) * SLOT_MINUTES / 60 / WEEKS, monday


def _worked(plan: Tried, commission: str) -> Iterator[tuple[int, int]]:
    """Yield the slots that each person works on other commissions."""
    for task in plan.problem.tasks:
        if _of(plan, task.key) != commission:
            placed = plan.plan[task.key]
            for _ in placed.team:
                yield placed.start, placed.start + task.slots


def _next_monday(now: datetime) -> date:
    today = timezone.localtime(now).date()
    return today + timedelta(days=7 - today.weekday())


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, datetime.min.time()))


def _day(plan: Tried, slot: int) -> date:
    return timezone.localtime(plan.shop.axis.moment(slot)).date()
