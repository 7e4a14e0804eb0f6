"""Re-plan after an event: keep to the published plan as far as it can be kept."""

from collections.abc import Mapping

from calcs.planning.checks import check_problem
from calcs.planning.placing.bookings import UNPLACED, Placing
from calcs.planning.placing.model import model_of
from calcs.planning.placing.orders import by_due_date, first_plan
from calcs.planning.placing.scoring import Scoring
from calcs.planning.placing.trail import Placer, Trail
from calcs.planning.problem import Found, Problem
from calcs.planning.search import found_in
from calcs.planning.walk import Budget, walk


def repair(
    problem: Problem,
    published: Mapping[str, int],
    *,
    seconds: float | None = None,
    plans: int | None = None,
    seed: int = 0,
) -> Found:
    """Return a plan near a published one: no task starts earlier than published, few start later.

    The search counts the points of ``value`` and one for each slot by which a start moves. With 0 plans
    this is the plain repair: tasks in the order of their published starts, each as soon after as it can be.

    Parameters
    ----------
    published : mapping
        Start of each task [slot] by its key; tasks without one are new and placed by due date.
    seconds, plans, seed
        As for ``search``.

    Raises
    ------
    CalcError
        If the problem is at fault, or a task has no room before the horizon.
    """
    budget = Budget(plans, seconds)
    check_problem(problem)
    model = model_of(problem)
    starts = [published.get(task.key, UNPLACED) for task in problem.tasks]
    placer = Placer(model, Placing(model, [max(0, s) for s in starts]), Scoring(model, starts))
    orders, trail = first_plan(placer, by_due_date(model))
    other, sequence = orders.by_start(published)
    found = placer.follow(trail, other.of(sequence), float("inf"))
    if isinstance(found, Trail):
        orders, trail = other, found
    else:
        sequence = orders.in_turn(by_due_date(model))
    return found_in(model, walk(placer, orders, sequence, trail, budget, seed), budget.tried)
