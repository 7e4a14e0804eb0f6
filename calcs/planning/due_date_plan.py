"""Plan by due date: one commission after another, each task as early as it can be."""

from calcs.planning.checks import check_problem
from calcs.planning.placing.bookings import Placing
from calcs.planning.placing.model import model_of
from calcs.planning.placing.orders import by_due_date, first_plan
from calcs.planning.placing.scoring import Scoring
from calcs.planning.placing.trail import Placer, plan_of
from calcs.planning.problem import Plan, Problem


def due_date_plan(problem: Problem) -> Plan:
    """Return the plan that takes commissions by due date, the heavier of two first.

    Raises
    ------
    CalcError
        If the problem is at fault, or a task has no room before the horizon.
    """
    check_problem(problem)
    model = model_of(problem)
    placer = Placer(model, Placing(model), Scoring(model))
    return plan_of(model, first_plan(placer, by_due_date(model))[1])
