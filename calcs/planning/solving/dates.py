"""Plans that keep some dates whatever it costs, made of the jobs of these dates first."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from ortools.sat.python.cp_model import LinearExprT

from calcs.kit.errors import CalcError
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Plan, Problem
from calcs.planning.solving.freeing import freed, groups
from calcs.planning.solving.model import Model
from calcs.planning.solving.running import Limits, Ran, run
from calcs.planning.solving.steps import named

Goal = Callable[[Model], LinearExprT]
"""What is to be made small."""


@dataclass(frozen=True, slots=True)
class Dates:
    """A problem, and by job the slot at which it must have ended.

    Only the jobs of these dates, and those that share a hold with them, are asked about: without all others
    it is easier, so what cannot be then cannot be at all. The others are planned around them afterwards.
    """

    problem: Problem
    dates: Mapping[str, int]
    also: frozenset[str] = frozenset()
    """Jobs that are asked about though they have no such slot."""

    @property
    def jobs(self) -> frozenset[str]:
        """Return the jobs that are asked about, with those that share a hold with them."""
        asked = self.also | set(self.dates)
        return frozenset().union(*(group for group in groups(self.problem) if group & asked))

    def alone(self) -> Problem:
        """Return the problem of these jobs alone."""
        keys = {task.key for task in self.problem.tasks if task.job in self.jobs}
        return replace(
            self.problem,
            tasks=tuple(task for task in self.problem.tasks if task.key in keys),
            lags=tuple(lag for lag in self.problem.lags if {lag.first, lag.then} <= keys),
            holds=tuple(hold for hold in self.problem.holds if hold.last in keys),
            jobs=tuple(job for job in self.problem.jobs if job.key in self.jobs),
        )

    def kept(
        self, limits: Limits, *, goal: Goal | None = None, hint: Plan | None = None, more: Iterable[str] = ()
    ) -> Ran:
        """Return a plan of these jobs that keeps the dates; ``proved`` without a plan: there is none.

        With a goal ``proved`` says that there is none with less of it.
        """
        alone = self.alone()
        ran = self._run(alone, limits, goal, hint, more, exact=False)
        if ran.plan is None:
            return ran
        plan = named(widened(alone, ran.used), ran.plan, hint)
        return replace(ran, plan=plan) if plan else self._run(alone, limits, goal, hint, more, exact=True)

    def _run(
        self,
        alone: Problem,
        limits: Limits,
        goal: Goal | None,
        hint: Plan | None,
        more: Iterable[str],
        *,
        exact: bool,
    ) -> Ran:
        model = Model(alone, exact=exact, more=more)
        for job in alone.jobs:
            for key in job.last if job.key in self.dates else ():
                model.cp.add(model.end(key) <= self.dates[job.key])
        if goal:
            model.cp.minimize(goal(model))
        if hint:
            model.hint(hint)
        return run(model, limits)

    def completed(self, plan: Plan) -> Plan | None:
        """Return a plan of everything around that of these jobs; None if the others find no room."""
        others = {task.job for task in self.problem.tasks} - self.jobs
        if not others:
            return plan
        try:
            return {**due_date_plan(freed(self.problem, plan, others)), **plan}
        except CalcError:
            return None


def widened(problem: Problem, keys: Iterable[str]) -> Problem:
    """Return a problem with one unit more of some resources."""
    wide = set(keys)
    more = (replace(r, capacity=r.capacity + (r.key in wide)) for r in problem.resources)
    return replace(problem, resources=tuple(more))
