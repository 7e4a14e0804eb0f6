"""A part of a problem: some commissions free, all others where a plan has them."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from calcs.planning.problem import Lag, Plan, Problem, Task, span
from calcs.planning.solving.profiles import Step


def freed(problem: Problem, plan: Plan, jobs: Collection[str]) -> Problem:
    """Return the problem of the tasks of some jobs; what the others use stands as taken.

    Lags between them and the others narrow the starts. Jobs that share a hold have to be freed together, as
    ``groups`` has them.
    """
    free = {task.key: task for task in problem.tasks if task.job in jobs}
    slots = {task.key: task.slots for task in problem.tasks}
    taken = defaultdict[str, list[Step]](list)
    for key, step in _of_the_others(problem, slots, plan, free):
        taken[key].append(step)
    across = defaultdict[str, list[Lag]](list)
    for lag in problem.lags:
        if (lag.first in free) != (lag.then in free):
            across[lag.first if lag.first in free else lag.then].append(lag)
    last = problem.horizon - 1
    tasks = (_narrowed(task, slots, plan, across[task.key], last) for task in free.values())
    return replace(
        problem,
        tasks=tuple(tasks),
        resources=tuple(replace(r, taken=(*r.taken, *taken[r.key])) for r in problem.resources),
        lags=tuple(lag for lag in problem.lags if lag.first in free and lag.then in free),
        holds=tuple(hold for hold in problem.holds if hold.last in free),
        jobs=tuple(job for job in problem.jobs if all(key in free for key in job.last)),
    )


def _of_the_others(
    problem: Problem, slots: Mapping[str, int], plan: Plan, free: Collection[str]
) -> Iterator[tuple[str, Step]]:
    """Yield what the fixed tasks take: resource, and from when to when how many units."""
    for task in problem.tasks:
        if task.key in free:
            continue
        start = plan[task.key].start
        for key, units in task.uses.items():
            yield key, (start, start + task.slots, units)
        for key in plan[task.key].team:
            yield key, (start, start + task.slots, 1)
        for key, kept in task.keeps.items():
            yield key, (start, start + kept, 1)
    for hold in problem.holds:
        if hold.last not in free:
            since = plan[hold.first].start if hold.first else 0
            yield hold.resource, (since, plan[hold.last].start + slots[hold.last], hold.units)


def _narrowed(task: Task, slots: Mapping[str, int], plan: Plan, lags: Iterable[Lag], most: int) -> Task:
    """Return a task that may start only where the fixed tasks before and after it allow."""
    least, last = 0, most
    for lag in lags:
        if lag.then == task.key:
            end = plan[lag.first].start + slots[lag.first]
            least = max(least, end + lag.least)
            most = most if lag.most is None else min(most, end + lag.most)
        else:
            start = plan[lag.then].start - task.slots
            most = min(most, start - lag.least)
            least = least if lag.most is None else max(least, start - lag.most)
    if (least, most) == (0, last):
        return task
    return replace(task, starts=task.starts & span(least, max(0, most - least + 1)))


def groups(problem: Problem) -> list[frozenset[str]]:
    """Return the jobs, those in one set that are joined by a hold or by a wait with a most."""
    job = {task.key: task.job for task in problem.tasks}
    group = {key: frozenset([key]) for key in dict.fromkeys(job.values())}
    ties = [(hold.first, hold.last) for hold in problem.holds if hold.first]
    ties += [(lag.first, lag.then) for lag in problem.lags if lag.most is not None]
    for first, last in ties:
        joined = group[job[first]] | group[job[last]]
        for key in joined:
            group[key] = joined
    return list(dict.fromkeys(group.values()))


def calm(problem: Problem, *, but: int = 0) -> Problem:
    """Return a problem without the slots that may be worked but should not be, except some of them."""
    people = {person for task in problem.tasks for team in task.teams for person in team}
    shut = problem.unwanted & ~but
    resources = (replace(r, open=r.open & ~shut) if r.key in people else r for r in problem.resources)
    return replace(problem, resources=tuple(resources), unwanted=0)
