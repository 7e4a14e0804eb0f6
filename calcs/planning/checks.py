"""What a planning problem must fulfil before it is planned."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

from calcs.kit.errors import CalcError, OutOfRange, Unknown
from calcs.planning.placing.allowed import Allowed
from calcs.planning.placing.network import arcs_of, in_order
from calcs.planning.placing.slots import longest_run
from calcs.planning.problem import Problem, Task


def check_problem(problem: Problem) -> None:
    """Refuse a problem that no plan can solve, naming the field and what is at fault.

    Raises
    ------
    OutOfRange
        If a number is outside its range: units above a capacity, a task longer than any open time.
    Unknown
        If a task, resource or commission is named that is not there.
    CalcError
        If a name is used twice, or tasks wait for one another in a circle.
    """
    if problem.horizon < 1:
        raise _out("horizon", problem.horizon, "1 slot or more")
    if problem.unwanted_points < 0:
        raise _out("unwanted_points", problem.unwanted_points, "0 or more")
    _once("tasks", [task.key for task in problem.tasks])
    _once("resources", [resource.key for resource in problem.resources])
    _once("jobs", [job.key for job in problem.jobs])
    _check_resources(problem)
    _check_jobs(problem)
    _check_lags(problem)
    capacity = {resource.key: resource.capacity for resource in problem.resources}
    allowed = Allowed(problem)
    for task in problem.tasks:
        _check_task(task, capacity, {job.key for job in problem.jobs})
        _check_starts(problem, task, allowed)
    _check_holds(problem, capacity)
    in_order(problem, arcs_of(problem, {task.key: i for i, task in enumerate(problem.tasks)}))


def _out(field: str, value: object, allowed: str) -> OutOfRange:
    return OutOfRange(f"{field} is {value}; allowed: {allowed}.", field=field, value=value, allowed=allowed)


def _once(field: str, keys: Sequence[str]) -> None:
    twice = [key for key, times in Counter(keys).items() if times > 1]
    if twice:
        detail = f"{field}: {twice[0]} is there twice; each key may be used once."
        raise CalcError(detail, field=field, value=twice[0], allowed="each key once")


def _known(field: str, key: str, known: Iterable[str], what: str) -> None:
    if key not in known:
        raise Unknown(
            f"{field}: there is no {what} {key}.", field=field, value=key, allowed=f"keys of a {what}"
        )


def _check_resources(problem: Problem) -> None:
    for resource in problem.resources:
        if resource.capacity < 0:
            raise _out(f"resources: capacity of {resource.key}", resource.capacity, "0 or more")
        for first, last, units in resource.taken:
            if last < first or units < 0:
                raise _out(
                    f"resources: taken of {resource.key}",
                    (first, last, units),
                    "first slot up to last, 0 units or more",
                )


def _check_jobs(problem: Problem) -> None:
    tasks = {task.key for task in problem.tasks}
    for job in problem.jobs:
        if not job.last:
            raise _out(f"jobs: last of {job.key}", job.last, "one task or more")
        for key in job.last:
            _known(f"jobs: last of {job.key}", key, tasks, "task")
        if job.weight < 0:
            raise _out(f"jobs: weight of {job.key}", job.weight, "0 or more")


def _check_lags(problem: Problem) -> None:
    tasks = {task.key for task in problem.tasks}
    for lag in problem.lags:
        for key in (lag.first, lag.then):
            _known("lags", key, tasks, "task")
        if lag.most is not None and lag.most < lag.least:
            raise _out(f"lags: most from {lag.first} to {lag.then}", lag.most, f"{lag.least} slots or more")


def _check_task(task: Task, capacity: dict[str, int], jobs: set[str]) -> None:
    if task.job:
        _known(f"tasks: job of {task.key}", task.job, jobs, "commission")
    if task.slots < 0:
        raise _out(f"tasks: slots of {task.key}", task.slots, "0 or more")
    for field, named in (("uses", task.uses), ("keeps", task.keeps)):
        for key, units in named.items():
            _known(f"tasks: {field} of {task.key}", key, capacity, "resource")
            if units < 0:
                raise _out(f"tasks: {field} of {task.key}", units, "0 or more")
    for team in task.teams:
        for key in team:
            _known(f"tasks: teams of {task.key}", key, capacity, "resource")
        _check_units(
            task, Counter(team) + Counter(task.uses) + Counter(dict.fromkeys(task.keeps, 1)), capacity
        )
    if not task.teams:
        _check_units(task, Counter(task.uses) + Counter(dict.fromkeys(task.keeps, 1)), capacity)


def _check_units(task: Task, units: Counter[str], capacity: dict[str, int]) -> None:
    for key, count in units.items():
        if count > capacity[key]:
            raise _out(f"tasks: {key} for {task.key}", count, f"at most {capacity[key]}, its capacity")


def _check_starts(problem: Problem, task: Task, allowed: Allowed) -> None:
    teams = task.teams or ((),)
    if any(allowed.starts(task, team) for team in teams):
        return
    inside = (1 << problem.horizon) - 1
    if not task.starts & inside:
        raise _out(f"tasks: starts of {task.key}", "empty", f"one slot or more before slot {problem.horizon}")
    longest = 0
    for team in teams:
        found = inside
        for key in (*task.uses, *team):
            found &= allowed.resources[key].open
            if not found:
                raise _out(f"resources: open of {key}", "empty", f"open slots before slot {problem.horizon}")
        longest = max(longest, longest_run(found, task.slots))
    if longest < task.slots:
        raise _out(
            f"tasks: slots of {task.key}",
            task.slots,
            f"at most {longest}, the longest open time of its people",
        )
    detail = f"tasks: {task.key} may start only when its people or resources are closed."
    raise OutOfRange(
        detail, field=f"tasks: starts of {task.key}", value=task.key, allowed="a start in open time"
    )


def _check_holds(problem: Problem, capacity: dict[str, int]) -> None:
    tasks = {task.key for task in problem.tasks}
    from_now: dict[str, int] = defaultdict(int)
    for hold in problem.holds:
        _known("holds", hold.resource, capacity, "resource")
        for key in filter(None, (hold.first, hold.last)):
            _known("holds", key, tasks, "task")
        _known("holds", hold.last, tasks, "task")
        if not hold.first:
            from_now[hold.resource] += hold.units
        if not 0 <= max(hold.units, from_now[hold.resource]) <= capacity[hold.resource] or hold.units < 0:
            units = max(hold.units, from_now[hold.resource])
            raise _out(
                f"holds: units of {hold.resource} until {hold.last}",
                units,
                f"0 to {capacity[hold.resource]}, its capacity",
            )
