"""Search for a better plan: the sequence of the commissions is changed, and what is better is kept."""

from collections.abc import Sequence

from calcs.planning.checks import check_problem
from calcs.planning.placing.bookings import UNPLACED, Placing
from calcs.planning.placing.model import Model, model_of
from calcs.planning.placing.orders import by_due_date, first_plan
from calcs.planning.placing.scoring import Scoring
from calcs.planning.placing.trail import Placer, Trail, dropped_of, plan_of
from calcs.planning.problem import Found, Plan, Problem, value
from calcs.planning.walk import Budget, walk


def search(
    problem: Problem,
    *,
    start: Plan | None = None,
    seconds: float | None = None,
    plans: int | None = None,
    seed: int = 0,
) -> Found:
    """Return the best plan found, never worse than the plan by due date, nor than ``start`` if that holds.

    Parameters
    ----------
    start : mapping
        A plan to begin from; tasks that it does not know are put after it.
    seconds : float
        How long to search by the clock [s].
    plans : int
        How many plans to try; the result is then always the same. Seconds or plans must be given.
    seed : int
        Start of the chance that picks what to try.

    Raises
    ------
    CalcError
        If the problem is at fault, or a task has no room before the horizon.
    """
    budget = Budget(plans, seconds)
    check_problem(problem)
    model = model_of(problem)
    placer = Placer(model, Placing(model), Scoring(model))
    orders, trail = first_plan(placer, by_due_date(model))
    sequence = orders.in_turn(by_due_date(model))
    longest = orders.longest_first()
    found = placer.follow(trail, longest.of(sequence), trail.points - 1)
    if isinstance(found, Trail):
        orders, trail = longest, found
    kept = None
    if start:
        kept = kept_as_it_was(model, start)
        other, tried = orders.by_start({key: placed.start for key, placed in start.items()})
        found = placer.follow(trail, other.of(tried), trail.points)
        if isinstance(found, Trail):
            orders, sequence, trail = other, tried, found
    best = walk(placer, orders, sequence, trail, budget, seed)
    if kept is not None and kept.points < best.points:
        best = kept
    return found_in(model, best, budget.tried)


def kept_as_it_was(model: Model, start: Plan) -> Trail | None:
    """Return the trail of a plan just as it is, or None if it does not fit or lacks a task."""
    tasks = model.problem.tasks
    if any(task.key not in start for task in tasks):
        return None
    floors = [start[task.key].start for task in tasks]
    if min(floors) < 0:
        return None
    placer = Placer(model, Placing(model, floors, teams_in(model, start)), Scoring(model))
    order = sorted(range(len(model.clusters)), key=lambda c: min(floors[t] for t in model.clusters[c].tasks))
    found = placer.follow(placer.start(), order, float("inf"))
    if not isinstance(found, Trail) or found.steps[-1].book.starts != floors:
        return None
    return found


def teams_in(model: Model, plan: Plan) -> Sequence[int]:
    """Return for each task the number of the team that a plan gives it; -1 without one."""
    found = []
    for task, options in zip(model.problem.tasks, model.options, strict=True):
        teams = [option.team for option in options]
        placed = plan.get(task.key)
        found.append(teams.index(placed.team) if placed and placed.team in teams else UNPLACED)
    return found


def found_in(model: Model, trail: Trail, tried: int) -> Found:
    """Return what was found as others use it."""
    plan = plan_of(model, trail)
    return Found(plan=plan, value=value(model.problem, plan), plans=tried, dropped=dropped_of(model, trail))
