"""Re-planning after eighteen events: how far starts move, and what the plan is worth then."""

import time
from math import prod

from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Plan, value
from calcs.planning.repair import repair
from calcs.planning.solver import improve
from tests.benchmarks.planning.replanning import Event, events, shift
from tests.benchmarks.planning.tables import publish

SEARCH_S, SOLVER_S = 0.8, 2


def bench_replanning() -> None:
    happened = list(events())
    plain = [repair(event.problem, event.published, plans=0).plan for event in happened]
    begun = time.perf_counter()
    found = [repair(event.problem, event.published, seconds=SEARCH_S).plan for event in happened]
    each = (time.perf_counter() - begun) / len(happened)
    by_date = [due_date_plan(event.problem) for event in happened]
    solved = [
        improve(event.problem, plan, seconds=SOLVER_S, near=event.published).plan
        for event, plan in zip(happened, found, strict=True)
    ]
    plans = {
        "plain repair": plain,
        f"re-plan, {SEARCH_S} s of search": found,
        f"and {SOLVER_S} s of the solver": solved,
        "fresh due-date plan": by_date,
    }
    rows = [(name, *ratios(happened, plain, made)) for name, made in plans.items()]
    publish(
        "replan",
        "Re-planning after eighteen events",
        ("plan", "shift of starts / that of the plain repair", "value / value before"),
        rows,
        "A day lost, a cure a day longer, a stage twice as long, in the best known plans. Shift of starts in "
        "sum, value as a geometric mean. Wanted: under 1 s, shift at most 0.75. "
        f"A re-plan took {each:.2f} s with everything around the search.",
    )


def ratios(happened: list[Event], plain: list[Plan], made: list[Plan | None]) -> tuple[float, float]:
    """Return the shift against the plain repair, and the value against that before the event."""
    moved, repaired, worth = 0, 0, []
    for event, first, plan in zip(happened, plain, made, strict=True):
        assert plan is not None and faults(event.problem, plan) == []
        moved += shift(event, plan)
        repaired += shift(event, first)
        before = before_it(event)
        worth.append(value(event.problem, plan) / before)
    return moved / repaired, prod(worth) ** (1 / len(worth))


def before_it(event: Event) -> int:
    """Return the points of the published plan, by the problem before the event."""
    slots = {task.key: task.slots for task in event.before.tasks}
    points = 0
    for job in event.before.jobs:
        end = max(event.published[key] + slots[key] for key in job.last)
        points += end + (10 * job.weight * max(0, end - job.due) if job.due is not None else 0)
    return points
