"""Whether a date can be kept, and what is the smallest thing that gives way if not: asked of the solver.

It loads the solver, which takes memory: services use ``solver_process``.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from calcs.kit.errors import OutOfRange, Unknown
from calcs.planning.answers import CHANGE, DUE, RESOURCE, UNWANTED, GivesWay, Met, Way
from calcs.planning.problem import Plan, Problem, unwanted_value
from calcs.planning.solving.dates import Dates, widened
from calcs.planning.solving.freeing import calm
from calcs.planning.solving.points import tardiness, unwanted
from calcs.planning.solving.running import Limits, Stop, never

MOST_WAYS = 3
"""So many resources are named of which one more would do."""


def cannot_be_met(
    problem: Problem,
    job: str,
    due: int,
    *,
    kept: Iterable[str] = (),
    seconds: float,
    workers: int = 2,
    plan: Plan | None = None,
    stop: Stop = never,
) -> Met:
    """Return whether a job can end by a slot while those of ``kept`` end by their own dates.

    All other jobs may end as late as they like. ``plan`` is only where the solver begins.

    Raises
    ------
    Unknown
        If a job does not exist, or one of ``kept`` has no date.
    OutOfRange
        If ``due`` lies outside the problem.
    """
    dates = Dates(problem, dates_of(problem, job, due, kept))
    return answer(dates, Limits(seconds=seconds, workers=workers, stop=stop, presolve=True), plan)


def what_gives_way(
    problem: Problem,
    job: str,
    due: int,
    *,
    kept: Iterable[str] = (),
    changes: Mapping[str, Problem] | None = None,
    seconds: float,
    workers: int = 2,
    plan: Plan | None = None,
    stop: Stop = never,
) -> GivesWay:
    """Return whether the dates can be kept without unwanted slots, and else what would help, each by itself.

    The ways come in this order: unwanted slots; one more of a resource; another job later, the fewest slots
    first; ``changes``, which are the same problem as the caller changed it. What takes too long is left out.
    Errors are those of ``cannot_be_met``.
    """
    dates = dates_of(problem, job, due, kept)
    limits = Limits(seconds=seconds, workers=workers, stop=stop, presolve=True)
    asked = _Asked(problem, dates, limits, plan, questions=3 + len(dates) + len(changes or {}))
    met = asked.met(calm(problem))
    if met.possible:
        return GivesWay(met=met)
    proved = met.possible is False
    ways = [*asked.evenings(), *asked.resources(proved=proved), *asked.later(job)]
    return GivesWay(met=met, ways=(*ways, *asked.changed(changes or {}, proved=proved)))


def dates_of(problem: Problem, job: str, due: int, kept: Iterable[str]) -> Mapping[str, int]:
    """Return the slot by which each named job must end."""
    jobs = {each.key: each for each in problem.jobs}
    dates = {job: due}
    for key in (job, *kept):
        if key not in jobs:
            raise Unknown(f"job {key} does not exist", field="job", value=key, allowed=", ".join(jobs))
    if not 0 <= due <= problem.horizon:
        allowed = f"0 to {problem.horizon}"
        raise OutOfRange(f"due {due} of {job} is not in {allowed}", field="due", value=due, allowed=allowed)
    for key in kept:
        date = jobs[key].due
        if date is None:
            raise Unknown(
                f"job {key} has no date to keep", field="kept", value=key, allowed="jobs with a date"
            )
        dates.setdefault(key, date)
    return dates


def answer(dates: Dates, limits: Limits, hint: Plan | None) -> Met:
    """Return whether dates can be kept, with a plan of everything."""
    ran = dates.kept(limits, hint=hint)
    if ran.plan is None:
        return Met(possible=False if ran.proved else None)
    plan = dates.completed(ran.plan)
    return Met(possible=None if plan is None else True, plan=plan)


@dataclass(frozen=True, slots=True)
class _Asked:
    """The questions, which share the time evenly: what one leaves over goes to those after it."""

    problem: Problem
    dates: Mapping[str, int]
    limits: Limits
    hint: Plan | None
    questions: int

    def _share(self) -> Limits:
        return self.limits.share(self.limits.seconds / self.questions)

    def met(self, problem: Problem) -> Met:
        return answer(Dates(problem, self.dates), self._share(), self.hint)

    def evenings(self) -> Iterator[Way]:
        """Yield the fewest unwanted slots, where there are any."""
        if not self.problem.unwanted:
            return
        dates = Dates(self.problem, self.dates)
        ran = dates.kept(
            self._share(),
            hint=self.hint,
            goal=lambda model: sum(
                slots for task in model.problem.tasks for slots in unwanted(model, task, levels_of=task.slots)
            ),
        )
        if ran.plan is not None and (plan := dates.completed(ran.plan)) is not None:
            counted = replace(dates.alone(), unwanted_points=1)
            amount = unwanted_value(counted, ran.plan)
            yield Way(kind=UNWANTED, amount=amount, plan=plan, proved=ran.proved)

    def resources(self, *, proved: bool) -> Iterator[Way]:
        """Yield each resource of which one more would do, the rarest first."""
        wanted = calm(self.problem)
        dates, limits = Dates(wanted, self.dates), self._share()
        people = {person for task in wanted.tasks for team in task.teams for person in team}
        used = {key for task in dates.alone().tasks for key in (*task.uses, *task.keeps)}
        used |= {hold.resource for hold in dates.alone().holds}
        left = {r.key: r.capacity for r in wanted.resources if r.key in used - people}
        for _ in range(MOST_WAYS):
            ran = dates.kept(limits, goal=lambda model: sum(model.more.values()), hint=self.hint, more=left)
            if ran.plan is None or len(ran.used) != 1:
                return
            (key,) = ran.used
            del left[key]
            plan = Dates(widened(wanted, [key]), self.dates).completed(ran.plan)
            if plan is not None:
                yield Way(kind=RESOURCE, key=key, amount=1, plan=plan, proved=proved)

    def later(self, job: str) -> list[Way]:
        """Return how much later each other job would do, the least first; the asked job itself comes last."""
        found = [way for key in self.dates for way in self._later(key)]
        return sorted(found, key=lambda way: (way.key == job, way.amount))

    def _later(self, key: str) -> Iterator[Way]:
        wanted, date = calm(self.problem), self.dates[key]
        others = {other: by for other, by in self.dates.items() if other != key}
        dates = Dates(wanted, others, also=frozenset([key]))
        job = next(each for each in wanted.jobs if each.key == key)
        ran = dates.kept(
            self._share(),
            goal=lambda model: tardiness(model, job, date, model.completion(job)),
            hint=self.hint,
        )
        if ran.plan is not None and (plan := dates.completed(ran.plan)) is not None:
            slots = {task.key: task.slots for task in wanted.tasks}
            late = max(plan[last].start + slots[last] for last in job.last) - date
            yield Way(kind=DUE, key=key, amount=late, plan=plan, proved=ran.proved)

    def changed(self, changes: Mapping[str, Problem], *, proved: bool) -> Iterator[Way]:
        """Yield each change of the caller's with which the dates can be kept."""
        for key, problem in changes.items():
            met = self.met(problem)
            if met.plan is not None:
                yield Way(kind=CHANGE, key=key, plan=met.plan, proved=proved)
