"""Make a plan of the shop: near the published one, checked, never published with a fault."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from statistics import fmean

from calcs.planning.checker import faults
from calcs.planning.problem import Found, Lag, Plan, Problem, Resource, Task, span, value
from calcs.planning.repair import repair
from calcs.planning.search import search
from calcs.planning.solver_process import improve_apart
from jobs.domain.planning.plan_view import PlanView, finishes_of, waits_of, work_of
from jobs.domain.planning.problem.drafts import stem
from jobs.domain.planning.published import Published
from jobs.domain.planning.work import ShopProblem

QUICK_S = 1.0
"""Seconds of search for the plan that follows an event."""
LONG_S = 5.0
"""Seconds of search for a better plan while nothing happens."""
SOLVER_S = 15.0
"""Seconds that the solver has after it, in a process that makes way for all others."""
MOVE_POINTS = 0.5
"""Points that a commission must gain for each slot that its work moves: common practice, no source."""
MOST_SHOWN = 3


class Faulty(Exception):
    """A plan that the checker refuses, with its first faults."""


@dataclass(frozen=True, kw_only=True)
class Made:
    """A plan with what it was made for."""

    shop: ShopProblem
    found: Found
    view: PlanView


def make(shop: ShopProblem, before: Mapping[str, int], *, seconds: float = QUICK_S) -> Made:
    """Return a plan for the shop that moves little of what was published before.

    ``before`` holds the published starts [slot] by task; empty where nothing is published.
    """
    if not shop.problem.tasks:
        return checked(shop, Found(plan={}, value=0), seconds=seconds)
    before = _possible(shop.problem, before)
    if not before:
        return checked(shop, search(shop.problem, seconds=seconds), seconds=seconds)
    near = repair(shop.problem, before, seconds=seconds / 2)
    freed = search(shop.problem, start=near.plan, seconds=seconds / 2)
    return checked(shop, freed if is_worth_it(shop, near, freed) else near, seconds=seconds)


def better(shop: ShopProblem, before: Mapping[str, int]) -> Made | None:
    """Return a plan that is better than the published one by more than its moves cost; None without one."""
    if not shop.problem.tasks:
        return None
    near = repair(shop.problem, _possible(shop.problem, before), plans=0)
    found = _solved(shop.problem, search(shop.problem, start=near.plan, seconds=LONG_S), near.plan)
    return checked(shop, found, seconds=QUICK_S) if is_worth_it(shop, near, found) else None


def _solved(problem: Problem, found: Found, near: Plan) -> Found:
    """Return the plan after the solver's steps; the plan as it was where they find nothing better."""
    starts = {key: one.start for key, one in near.items()}
    solved = improve_apart(_without(problem, found.dropped), found.plan, seconds=SOLVER_S, near=starts)
    return replace(found, plan=solved, value=value(problem, solved)) if solved else found


def _possible(problem: Problem, before: Mapping[str, int]) -> dict[str, int]:
    """Return the published starts that still may be: none of a task pinned elsewhere, nor of what follows."""
    after: dict[str, list[str]] = defaultdict(list)
    for lag in problem.lags:
        after[lag.first].append(lag.then)
    left = [task.key for task in problem.tasks if task.key in before and not task.starts >> before[task.key]]
    gone = set(left)
    while left:
        new = set(after[left.pop()]) - gone
        gone |= new
        left += new
    return {task.key: before[task.key] for task in problem.tasks if task.key in before.keys() - gone}


def is_worth_it(shop: ShopProblem, near: Found, found: Found) -> bool:
    """Return whether a plan gains more points than its moves away from a near one cost.

    Moves count by commission: the mean of how far its tasks move.
    """
    if len(found.dropped) != len(near.dropped):
        return len(found.dropped) < len(near.dropped)
    shifts: dict[str, list[int]] = defaultdict(list)
    for task in shop.problem.tasks:
        shifts[task.job].append(abs(found.plan[task.key].start - near.plan[task.key].start))
    moved = sum(fmean(each) for each in shifts.values())
    return near.value - found.value > MOVE_POINTS * moved


def checked(shop: ShopProblem, found: Found, *, seconds: float) -> Made:
    """Return a plan with the maybes added, once the independent checker finds no fault in it."""
    maybe = replace(shop.maybe, resources=beside(shop.problem, found.plan))
    more = search(maybe, seconds=seconds / 4) if maybe.tasks else Found(plan={}, value=0)
    whole = shop.whole()
    plan = steady(whole, {**found.plan, **more.plan})
    dropped = (*found.dropped, *more.dropped)
    if wrong := faults(_without(whole, dropped), plan):
        raise Faulty("; ".join(wrong[:MOST_SHOWN]))
    return Made(
        shop=shop, found=replace(found, dropped=dropped), view=PlanView(shop=shop, problem=whole, plan=plan)
    )


def published(made: Made) -> Published:
    """Return what pages and feeds read of a plan."""
    view, coarse = made.view, made.found.coarse_from
    return Published(
        made_at=made.shop.now, work=tuple(work_of(view)), waits=tuple(waits_of(view)),
        finishes=tuple(finishes_of(view)),
        not_planned=(*made.shop.not_planned, *made.shop.missed(made.found.dropped)),
        coarse_from=made.shop.axis.day(coarse) if coarse is not None else None, trouble=made.shop.trouble,
    )  # fmt: skip


def steady(problem: Problem, plan: Plan) -> Plan:
    """Return a plan in which one who begins a stage goes on with it where that is free to them."""
    opened = {one.key: one.open for one in problem.resources}
    busy = _busy(problem, plan)
    found = dict(plan)
    before: Task | None = None
    for task in problem.tasks:
        is_next = before is not None and stem(before.key) == stem(task.key)
        mine, team = found[task.key], found[before.key].team if before else ()
        worked = span(mine.start, task.slots)
        if is_next and team != mine.team and team in task.teams and _free(team, opened, busy, worked):
            _hand_over(busy, mine.team, team, worked)
            found[task.key] = replace(mine, team=team)
        before = task
    return found


def _free(team: Iterable[str], opened: Mapping[str, int], busy: Mapping[str, int], slots: int) -> bool:
    return all(opened[key] & ~busy.get(key, 0) & slots == slots for key in team)


def _hand_over(busy: dict[str, int], before: Iterable[str], after: Iterable[str], slots: int) -> None:
    for key in before:
        busy[key] &= ~slots
    for key in after:
        busy[key] = busy.get(key, 0) | slots


def _busy(problem: Problem, plan: Plan) -> dict[str, int]:
    busy: dict[str, int] = {}
    for task in problem.tasks:
        for key in plan[task.key].team:
            busy[key] = busy.get(key, 0) | span(plan[task.key].start, task.slots)
    return busy


def _without(problem: Problem, dropped: tuple[Lag, ...]) -> Problem:
    """Return a problem without the limits of these lags: no plan can keep them, and it is said."""
    names = {(lag.first, lag.then) for lag in dropped}
    lags = [replace(lag, most=None) if (lag.first, lag.then) in names else lag for lag in problem.lags]
    return replace(problem, lags=tuple(lags))


def beside(problem: Problem, plan: Plan) -> tuple[Resource, ...]:
    """Return the resources that a plan leaves: people less their work, places and clamps less theirs."""
    busy = _busy(problem, plan)
    taken: dict[str, list[tuple[int, int, int]]] = {}
    slots = {task.key: task.slots for task in problem.tasks}
    for task in problem.tasks:
        start = plan[task.key].start
        for key, units in task.uses.items():
            taken.setdefault(key, []).append((start, start + task.slots, units))
        for key, kept in task.keeps.items():
            taken.setdefault(key, []).append((start, start + kept, 1))
    for hold in problem.holds:
        begins = plan[hold.first].start if hold.first else 0
        ends = plan[hold.last].start + slots[hold.last]
        taken.setdefault(hold.resource, []).append((begins, ends, hold.units))
    return tuple(
        replace(one, open=one.open & ~busy.get(one.key, 0), taken=(*one.taken, *taken.get(one.key, ())))
        for one in problem.resources
    )
