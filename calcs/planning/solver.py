"""Better plans and proofs by the solver, beginning from a plan.

It loads the solver, which takes memory: services use ``solver_process``.
"""

from collections.abc import Callable, Mapping
from random import Random

from calcs.planning.answers import Improved
from calcs.planning.problem import Plan, Problem
from calcs.planning.solving.freeing import groups
from calcs.planning.solving.points import cost
from calcs.planning.solving.running import Limits, Stop, never
from calcs.planning.solving.steps import part, parts, solved

STEP_WORK = 0.5
"""How much work a step may be for each job that it frees, in the solver's unit of about a second."""
FEWEST_FREE = 2
"""Freeing one job never helped in a trial; two or three did."""


class Best:
    """The best plan so far, and the listener that hears of a better one."""

    def __init__(
        self,
        problem: Problem,
        plan: Plan | None,
        near: Mapping[str, int],
        on_better: Callable[[Plan], None] | None,
    ) -> None:
        self.problem, self.plan, self.near, self.on_better = problem, plan, near, on_better
        self.cost = None if plan is None else cost(problem, plan, near)

    def take(self, plan: Plan) -> bool:
        """Return whether a plan is better, and keep it then."""
        points = cost(self.problem, plan, self.near)
        if self.cost is not None and points >= self.cost:
            return False
        self.plan, self.cost = plan, points
        if self.on_better:
            self.on_better(plan)
        return True

    def found(self, *, proved: bool = False) -> Improved:
        """Return the best plan as an answer."""
        return Improved(plan=self.plan, value=self.cost, proved=proved)


def improve(
    problem: Problem,
    plan: Plan | None,
    *,
    seconds: float,
    workers: int = 2,
    stop: Stop = never,
    on_better: Callable[[Plan], None] | None = None,
    near: Mapping[str, int] | None = None,
    seed: int = 0,
) -> Improved:
    """Return a plan that is at least as good, by freeing a few jobs at a time and at last all of them.

    Parameters
    ----------
    plan : mapping or None
        The plan to begin from; without one the solver looks for any.
    seconds : float
        After so long it ends with the best plan so far.
    on_better : callable, optional
        Hears every better plan as soon as there is one.
    near : mapping, optional
        Published starts by task: each slot away from them costs one point more.
    """
    near, limits = near or {}, Limits(seconds=seconds, workers=workers, stop=stop, seed=seed)
    best, most = Best(problem, plan, near, on_better), len(groups(problem))
    random, size = Random(seed), FEWEST_FREE
    while best.plan is not None and size < most and limits.left:
        if not better_by_parts(best, size, random, limits):
            size += 1
    if not limits.left:
        return best.found()
    ran = solved(problem, best.plan, near, limits)
    if ran.plan is not None:
        best.take(ran.plan)
    return best.found(proved=ran.proved and (ran.plan is not None or plan is None))


def better_by_parts(best: Best, size: int, random: Random, limits: Limits) -> bool:
    """Return whether freeing so many jobs at a time, each choice of them once, made the plan better."""
    better = False
    for jobs in parts(best.problem, random, size):
        if best.plan is None or not limits.left:
            break
        ran = part(best.problem, best.plan, jobs, best.near, limits.step(STEP_WORK * size))
        if ran.plan is not None:
            better |= best.take({**best.plan, **ran.plan})
    return better
