"""Eighteen events in synthetic shops whose plan is published: a day lost, a longer cure, a longer stage."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from calcs.planning.problem import Lag, Plan, Problem, Task, span
from tests.benchmarks.planning.instances import SHOPS, shop

DAY = 288
CURE = 144
"""A wait of half a day or more is a cure."""
MOMENTS = ((7, SHOPS), (21, ("m1_s1", "m2_s1")))
"""Days after the start on which the events happen, and the shops: 6 shops, with 3 events each."""


@dataclass(frozen=True, slots=True)
class Event:
    """One event: what happened, the problem after it and the starts published before it [slot]."""

    name: str
    before: Problem
    problem: Problem
    published: dict[str, int]


def events(plan: Plan | None = None) -> Iterator[Event]:
    """Yield the events; the published plan is the best one known of each shop."""
    for day, names in MOMENTS:
        for name in names:
            known = shop(name)
            now = day * DAY + 100
            published = {key: placed.start for key, placed in known.best_plan.items()}
            begun = _begun(known.problem, published, now)
            for what, problem in (
                ("a day lost", _day_lost(begun, day + 1)),
                ("a cure a day longer", _longer_cure(begun, published, now)),
                ("a stage twice as long", _longer_stage(begun, published, now)),
            ):
                yield Event(f"{name}, day {day}: {what}", known.problem, problem, published)


def _begun(problem: Problem, published: dict[str, int], now: int) -> Problem:
    """Return a problem in which what has started stays where it is, and nothing else starts before now."""

    def bound(task: Task) -> Task:
        start = published[task.key]
        return replace(task, starts=1 << start if start < now else task.starts >> now << now)

    return replace(problem, tasks=tuple(bound(task) for task in problem.tasks))


def _day_lost(problem: Problem, day: int) -> Problem:
    """Return the problem with nobody there on a working day."""
    closed = span(day * DAY, DAY)
    resources = tuple(replace(r, open=r.open & ~closed) if r.key == "maker" else r for r in problem.resources)
    return replace(problem, resources=resources)


def _longer_cure(problem: Problem, published: dict[str, int], now: int) -> Problem:
    """Return the problem with a day more for the first cure still to end whose follower then has to move."""
    slots = {task.key: task.slots for task in problem.tasks}

    def wait(lag: Lag) -> int:
        return published[lag.then] - published[lag.first] - slots[lag.first]

    curing = [
        lag
        for lag in problem.lags
        if lag.least >= CURE and published[lag.then] >= now and wait(lag) < lag.least + DAY
    ]
    longer = min(curing, key=lambda lag: published[lag.first])

    def changed(lag: Lag) -> Lag:
        return replace(lag, least=lag.least + DAY) if lag == longer else lag

    return replace(problem, lags=tuple(changed(lag) for lag in problem.lags))


def _longer_stage(problem: Problem, published: dict[str, int], now: int) -> Problem:
    """Return the problem with the first stage from now on of an hour or more twice as long.

    It is worked in two parts, as a stage longer than a half-day is: the second follows the first.
    """
    coming = [
        task for task in problem.tasks if published[task.key] >= now and task.slots >= 12 and not task.keeps
    ]
    longer = min(coming, key=lambda task: published[task.key])
    more = replace(longer, key=f"{longer.key} again")

    def changed(lag: Lag) -> Lag:
        return replace(lag, first=more.key) if lag.first == longer.key else lag

    return replace(
        problem,
        tasks=(*problem.tasks, more),
        lags=(*(changed(lag) for lag in problem.lags), Lag(first=longer.key, then=more.key)),
        holds=tuple(
            replace(hold, last=more.key) if hold.last == longer.key else hold for hold in problem.holds
        ),
    )


def shift(event: Event, plan: Plan) -> int:
    """Return by how many slots the published starts moved in sum."""
    return sum(abs(plan[key].start - start) for key, start in event.published.items())
