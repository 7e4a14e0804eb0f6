"""The soonest that a job can end, whatever else is put back for it: a bound that holds for every plan."""

from collections import defaultdict, deque
from collections.abc import Mapping

from calcs.kit.errors import OutOfRange
from calcs.planning.problem import Problem, Task


def soonest_end(problem: Problem, job: str) -> int | None:
    """Return a slot before which a job ends in no plan; None where no plan has it before the horizon.

    Notes
    -----
    Each task begins as soon as its starts, the open hours of its resources and of one of its teams, and the
    least lags let it, as if it had every resource to itself. To leave rules out can only make the end sooner.

    Raises
    ------
    OutOfRange
        If the problem has no such job.
    """
    found = next((one for one in problem.jobs if one.key == job), None)
    if found is None:
        allowed = ", ".join(one.key for one in problem.jobs) or "none"
        raise OutOfRange("there is no such job", field="job", value=job, allowed=allowed)
    tasks = {task.key: task for task in problem.tasks}
    starts = _soonest_starts(problem, tasks)
    ends = [_end(tasks[key], starts[key]) for key in found.last]
    return None if None in ends else max(end for end in ends if end is not None)


def _end(task: Task, start: int | None) -> int | None:
    return None if start is None else start + task.slots


def _soonest_starts(problem: Problem, tasks: Mapping[str, Task]) -> dict[str, int | None]:
    """Return the soonest start of each task: first alone, then moved on by lags until nothing moves."""
    may = {key: _may_start(problem, task) for key, task in tasks.items()}
    after = defaultdict(list)
    for lag in problem.lags:
        after[lag.first].append(lag)
    starts: dict[str, int | None] = {key: _from(may[key], 0) for key in tasks}
    moved = deque(tasks)
    while moved:
        key = moved.popleft()
        end = _end(tasks[key], starts[key])
        for lag in after[key]:
            then = starts[lag.then]
            if then is None:
                continue
            later = None if end is None else _from(may[lag.then], max(0, end + lag.least))
            if later is None or later > then:
                starts[lag.then] = later
                moved.append(lag.then)
    return starts


def _may_start(problem: Problem, task: Task) -> int:
    """Return the slots in which a task may start if nothing else is done, up to the horizon."""
    opened = {one.key: one.open for one in problem.resources}
    room = (1 << (problem.horizon + task.slots)) - 1
    for key in task.uses:
        room &= opened.get(key, 0)
    teams = 0
    for team in task.teams or ((),):
        together = room
        for key in team:
            together &= opened.get(key, 0)
        teams |= _runs(together, task.slots)
    return teams & task.starts & ((1 << problem.horizon) - 1)


def _runs(opened: int, slots: int) -> int:
    """Return the slots from which so many slots in a row are open."""
    width = 1
    while width < slots:
        step = min(width, slots - width)
        opened &= opened >> step
        width += step
    return opened


def _from(slots: int, first: int) -> int | None:
    """Return the first slot of a set at or after another; None where there is none."""
    left = slots >> first
    return first + (left & -left).bit_length() - 1 if left else None
