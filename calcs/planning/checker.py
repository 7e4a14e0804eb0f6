"""Check a plan against the rules of its problem. Independent: nothing of the schedulers is used here.

It reads the problem and the plan alone. Every door that publishes a plan asks it first.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

from calcs.planning.problem import Hold, Lag, Plan, Problem, Resource, Task


@dataclass(frozen=True, slots=True)
class _Take:
    """Units of a resource in use from a slot until another, and the words for who has them.

    ``planned`` is false for what is in use already, which no plan can change.
    """

    since: int
    until: int
    units: int
    by: str
    planned: bool = True


def faults(problem: Problem, plan: Plan) -> list[str]:
    """Return every fault of a plan as a sentence with its task, resource and slot; empty if it holds.

    Notes
    -----
    Units of ``uses``, of the team and of ``keeps`` add up where they name the same resource. What is in use
    already may be more than there is (clamps that were sold): a fault is only what the plan adds to it.
    """
    names = list(_names(problem, plan))
    if names:
        return names
    tasks = {task.key: task for task in problem.tasks}
    takes: dict[str, list[_Take]] = {resource.key: [] for resource in problem.resources}
    for key, take in chain(_worked(problem, plan), _held(problem, tasks, plan)):
        takes[key].append(take)
    return [
        *_placed(problem, plan),
        *_closed(problem, plan),
        *chain.from_iterable(_lag(tasks, plan, lag) for lag in problem.lags),
        *chain.from_iterable(_hold(tasks, plan, hold) for hold in problem.holds),
        *chain.from_iterable(_crowded(resource, takes[resource.key]) for resource in problem.resources),
    ]


def _names(problem: Problem, plan: Plan) -> Iterator[str]:
    """Yield what is named but does not exist, or exists twice: nothing else can be checked then."""
    tasks = {task.key for task in problem.tasks}
    resources = {resource.key for resource in problem.resources}
    yield from _twice("Task", [task.key for task in problem.tasks])
    yield from _twice("Resource", [resource.key for resource in problem.resources])
    for key in sorted(tasks - set(plan)):
        yield f"Task {key} is not in the plan."
    for key in sorted(set(plan) - tasks):
        yield f"The plan places {key}, which is no task of the problem."
    for task in problem.tasks:
        for key in sorted({*task.uses, *task.keeps, *chain.from_iterable(task.teams)} - resources):
            yield f"Task {task.key} names the resource {key}, which does not exist."
    for lag in problem.lags:
        for key in sorted({lag.first, lag.then} - tasks):
            yield f"The wait from {lag.first} to {lag.then} names the task {key}, which does not exist."
    for hold in problem.holds:
        for key in sorted({hold.first, hold.last} - tasks - {""}):
            yield f"The hold of {hold.resource} names the task {key}, which does not exist."
        if hold.resource not in resources:
            yield f"A hold until task {hold.last} names the resource {hold.resource}, which does not exist."
    for job in problem.jobs:
        for key in sorted(set(job.last) - tasks):
            yield f"Job {job.key} ends with the task {key}, which does not exist."


def _twice(what: str, keys: list[str]) -> Iterator[str]:
    for key, times in Counter(keys).items():
        if times > 1:
            yield f"{what} {key} is in the problem {times} times."


def _placed(problem: Problem, plan: Plan) -> Iterator[str]:
    """Yield each start outside the time of the problem or of its task, and each wrong team."""
    for task in problem.tasks:
        start, team = plan[task.key].start, sorted(plan[task.key].team)
        if not 0 <= start < problem.horizon:
            yield (
                f"Task {task.key} starts at slot {start}; a start lies between 0 and {problem.horizon - 1}."
            )
        elif not (task.starts >> start) & 1:
            yield f"Task {task.key} must not start at slot {start}."
        if task.teams and team not in [sorted(choice) for choice in task.teams]:
            yield f"Task {task.key} at slot {start} has the team {_names_of(team)}, which it cannot have."
        if team and not task.teams:
            yield f"Task {task.key} at slot {start} needs nobody, but has the team {_names_of(team)}."


def _names_of(team: list[str]) -> str:
    return " and ".join(team) or "of nobody"


def _closed(problem: Problem, plan: Plan) -> Iterator[str]:
    """Yield each task that is worked while one of its people or resources is closed."""
    resources = {resource.key for resource in problem.resources}
    end = max((plan[task.key].start + task.slots for task in problem.tasks), default=0)
    open_at = {resource.key: _as_text(resource.open, end) for resource in problem.resources}
    for task in problem.tasks:
        start = plan[task.key].start
        for key in dict.fromkeys((*task.uses, *plan[task.key].team)):
            if key not in resources or start < 0:
                continue
            slot = open_at[key].find("0", start, start + task.slots)
            if slot >= 0:
                yield f"Task {task.key} from slot {start} is worked at slot {slot}, when {key} is closed."


def _as_text(slots: int, end: int) -> str:
    """Return slots 0 to ``end`` as text, a 1 where the set has the slot."""
    return format(slots % (1 << max(1, end)), f"0{max(1, end)}b")[::-1]


def _worked(problem: Problem, plan: Plan) -> Iterator[tuple[str, _Take]]:
    """Yield what tasks take while they are worked, what they keep, and what is taken from the beginning."""
    resources = {resource.key for resource in problem.resources}
    for resource in problem.resources:
        for since, until, units in resource.taken:
            yield resource.key, _Take(since, until, units, "work outside the plan", planned=False)
    for task in problem.tasks:
        start, by = plan[task.key].start, f"task {task.key}"
        for key, units in task.uses.items():
            yield key, _Take(start, start + task.slots, units, by)
        for key in plan[task.key].team:
            if key in resources:
                yield key, _Take(start, start + task.slots, 1, by)
        for key, slots in task.keeps.items():
            yield key, _Take(start, start + slots, 1, f"what task {task.key} left there")


def _held(problem: Problem, tasks: Mapping[str, Task], plan: Plan) -> Iterator[tuple[str, _Take]]:
    for hold in problem.holds:
        since, until = _bounds(hold, tasks, plan)
        by = f"the hold from task {hold.first}" if hold.first else "the hold from the beginning"
        take = _Take(since, until, hold.units, f"{by} to task {hold.last}", planned=bool(hold.first))
        yield hold.resource, take


def _bounds(hold: Hold, tasks: Mapping[str, Task], plan: Plan) -> tuple[int, int]:
    since = plan[hold.first].start if hold.first else 0
    return since, plan[hold.last].start + tasks[hold.last].slots


def _lag(tasks: Mapping[str, Task], plan: Plan, lag: Lag) -> Iterator[str]:
    start = plan[lag.then].start
    waited = start - (plan[lag.first].start + tasks[lag.first].slots)
    if waited < lag.least:
        yield f"Task {lag.then} starts at slot {start}, {lag.least - waited} too early after {lag.first}."
    if lag.most is not None and waited > lag.most:
        yield f"Task {lag.then} starts at slot {start}, {waited - lag.most} too late after {lag.first}."


def _hold(tasks: Mapping[str, Task], plan: Plan, hold: Hold) -> Iterator[str]:
    since, until = _bounds(hold, tasks, plan)
    if until < since:
        yield (
            f"The hold of {hold.resource} begins with task {hold.first} at slot {since}, "
            f"after task {hold.last} ended at slot {until}."
        )


def _crowded(resource: Resource, takes: Iterable[_Take]) -> Iterator[str]:
    """Yield each moment from which more units are in use than there are."""
    at_work: dict[int, list[_Take]] = {}
    over: dict[int, list[_Take]] = {}
    for take in takes:
        if take.units and take.until > take.since:
            at_work.setdefault(take.since, []).append(take)
            over.setdefault(take.until, []).append(take)
    now: dict[int, _Take] = {}
    units, crowded = 0, False
    for slot in sorted({*at_work, *over}):
        for take in over.get(slot, ()):
            del now[id(take)]
            units -= take.units
        for take in at_work.get(slot, ()):
            now[id(take)] = take
            units += take.units
        was_crowded = crowded
        crowded = units > resource.capacity and any(take.planned for take in now.values())
        if crowded and not was_crowded:
            by = ", ".join(take.by for take in now.values())
            there_are = f"there are {resource.capacity}"
            yield f"At slot {slot} {units} of {resource.key} are in use by {by}; {there_are}."
