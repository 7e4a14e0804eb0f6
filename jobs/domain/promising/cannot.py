"""A day that cannot be kept: whether that is proved, and the smallest thing that gives way."""

from dataclasses import dataclass, replace
from datetime import date

from calcs.planning.problem import ALWAYS, Problem, Task
from calcs.planning.solver_process import cannot_be_met_apart
from calcs.planning.soonest import soonest_end
from jobs.domain.planning.problem.axis import SLOTS_OF_DAY, day_span
from jobs.domain.planning.problem.changes import Changes
from jobs.domain.promising.helps import Help, what_helps
from jobs.domain.promising.trying import Tried

ALONE, BESIDE_OTHERS, NO_PROOF = "alone", "beside others", ""
"""Proved of its work and waits alone; proved while all other promises that are kept stay kept; not proved."""
SOLVER_S = 3.0
"""Seconds that the solver has for a proof."""
SHUT_AT_MOST = 14 * SLOTS_OF_DAY
"""Slots by which more hours may let a task begin sooner: a closed shop between the years."""


@dataclass(frozen=True, kw_only=True)
class CannotBeKept:
    """A day by which a commission is not ready in the plan.

    ``proof`` is ``ALONE``, ``BESIDE_OTHERS`` or ``NO_PROOF``. ``help`` is the smallest change that was found
    to keep it; ``ready_on`` is the day of the plan without any.
    """

    day: date
    ready_on: date
    proof: str
    help: Help | None


def cannot_be_kept(plan: Tried, commission: str, day: date, changes: Changes) -> CannotBeKept | None:
    """Return why a commission is not ready by a day; None where this plan, or another one found, keeps it.

    ``changes`` are those that the plan was made with.
    """
    ready = plan.ready_on(commission)
    if ready is None or ready <= day:
        return None
    due = plan.shop.axis.last_until(day_span(day, day)[1])
    if _ends_after(plan.problem, commission, due):
        proof = ALONE
    else:
        met = cannot_be_met_apart(
            plan.problem, commission, due, kept=_kept(plan, commission), seconds=SOLVER_S, plan=plan.plan
        )
        if met.possible:
            return None
        proof = BESIDE_OTHERS if met.possible is False else NO_PROOF
    hopeless = proof == ALONE and _ends_after(_with_all_hours(plan.problem), commission, due)
    helps = None if hopeless else what_helps(plan, commission, day, base=changes)
    return CannotBeKept(day=day, ready_on=ready, proof=proof, help=helps)


def _ends_after(problem: Problem, commission: str, due: int) -> bool:
    """Return whether work and waits of a commission alone, one after another in the open hours, end later."""
    soonest = soonest_end(problem, commission)
    return soonest is None or soonest > due


def _kept(plan: Tried, commission: str) -> list[str]:
    """Return the other commissions whose promise the plan keeps."""
    slots = {task.key: task.slots for task in plan.problem.tasks}
    return [
        job.key
        for job in plan.problem.jobs
        if job.key != commission
        and job.due is not None
        and max(plan.plan[key].start + slots[key] for key in job.last) <= job.due
    ]


def _with_all_hours(problem: Problem) -> Problem:
    """Return the problem as if everybody worked day and night: what no change of hours goes beyond."""
    return replace(
        problem,
        tasks=tuple(_sooner(task) for task in problem.tasks),
        resources=tuple(replace(one, open=ALWAYS) for one in problem.resources),
    )


def _sooner(task: Task) -> Task:
    """Return a task that may start in every slot from a while before its first one."""
    first = (task.starts & -task.starts).bit_length() - 1 if task.starts != ALWAYS else 0
    return replace(task, starts=ALWAYS << max(0, first - SHUT_AT_MOST))
