"""The problem made ready for placing: tasks by number, clusters, commissions by number.

Tasks joined by a maximum lag or by a held resource form one cluster, which is placed whole. Tasks of no
commission form one more commission, the last, which has no points.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from sys import maxsize

from calcs.planning.placing.allowed import Allowed, Held, Option, jobs_of, take
from calcs.planning.placing.grouping import Cluster, clusters_of
from calcs.planning.placing.network import Arc, arcs_of, by_first, in_order, longest_between
from calcs.planning.placing.slots import CHUNK, lowest
from calcs.planning.problem import LATE, Problem


@dataclass(frozen=True, slots=True)
class Model:
    """A problem ready for placing; lists go by the number of the task, of the cluster or of the commission.

    ``after``: what a task must come after: task, slots from its start, number of the lag.
    ``limits``: what bounds its start from above once it is placed: task, slots to it, lag, whether maximum.
    ``tails``: slots from its start to the end of its commission at the least.
    ``first_ends``: the earliest end of a commission, alone in the shop.
    """

    problem: Problem
    slots: list[int]
    options: list[tuple[Option, ...]]
    after: list[list[tuple[int, int, int]]]
    limits: list[list[tuple[int, int, int, bool]]]
    holds: list[list[Held]]
    tails: list[int]
    job_of: list[int]
    due: list[int]
    late: list[int]
    first_ends: list[int]
    clusters: list[Cluster]
    cluster_of: list[int]
    rows: list[list[int]]
    earliest: list[int]


def model_of(problem: Problem) -> Model:
    """Return a checked problem made ready.

    Raises
    ------
    CalcError
        If tasks wait for one another in a circle.
    """
    place = {task.key: i for i, task in enumerate(problem.tasks)}
    arcs = arcs_of(problem, place)
    order = in_order(problem, arcs)
    ahead = by_first(arcs)
    jobs = jobs_of(problem)
    job_of = [jobs[task.job] for task in problem.tasks]
    allowed = Allowed(problem)
    held = _held(problem, order, ahead, allowed, place)
    rows = allowed.lay_out(_longest(problem, held))
    begun: dict[int, list[Held]] = defaultdict(list)
    for hold in held:
        begun[hold.first].append(hold)
    options = [allowed.options(task, begun[i]) for i, task in enumerate(problem.tasks)]
    earliest = _earliest(order, ahead, options, problem.horizon)
    held = [_begun(hold, rows, earliest, problem) for hold in held]
    tails = _tails(problem, order, ahead, place, job_of)
    first_ends = [0] * (len(problem.jobs) + 1)
    for task, job in enumerate(job_of):
        first_ends[job] = max(first_ends[job], earliest[task] + tails[task])
    clusters, cluster_of = clusters_of(arcs, held, order, earliest, job_of)
    return Model(
        problem=problem,
        slots=[task.slots for task in problem.tasks],
        options=options,
        after=_after(len(order), arcs),
        limits=_limits(len(order), arcs),
        holds=_by_last(len(order), held),
        tails=tails,
        job_of=job_of,
        due=[maxsize if job.due is None else job.due for job in problem.jobs] + [maxsize],
        late=[LATE * job.weight for job in problem.jobs] + [0],
        first_ends=first_ends,
        clusters=clusters,
        cluster_of=cluster_of,
        rows=rows,
        earliest=earliest,
    )


def first_of(parts: Sequence[int], least: int) -> int | None:
    """Return the first slot of a set in parts from ``least`` on."""
    part = least // CHUNK
    if part >= len(parts):
        return None
    found = parts[part] >> (least - part * CHUNK) << (least - part * CHUNK)
    while not found:
        part += 1
        if part == len(parts):
            return None
        found = parts[part]
    return part * CHUNK + lowest(found)


def last_of(parts: Sequence[int]) -> int:
    """Return the last slot of a set in parts; -1 for none."""
    for part in range(len(parts) - 1, -1, -1):
        if parts[part]:
            return part * CHUNK + parts[part].bit_length() - 1
    return -1


def _held(
    problem: Problem, order: list[int], ahead: dict[int, list[Arc]], allowed: Allowed, place: dict[str, int]
) -> list[Held]:
    found = []
    for hold in problem.holds:
        last = place[hold.last]
        first = place[hold.first] if hold.first else -1
        span = longest_between(order, ahead, first, last) if hold.first else 0
        slots = 0 if span is None else span + problem.tasks[last].slots
        found.append(Held(
            first=first, last=last, row=allowed.row[hold.resource], units=hold.units,
            capacity=allowed.resources[hold.resource].capacity, least=max(0, slots),
        ))  # fmt: skip
    return found


def _longest(problem: Problem, held: Sequence[Held]) -> int:
    spans = [slots for task in problem.tasks for slots in (task.slots, *task.keeps.values())]
    taken = [last - problem.horizon for r in problem.resources for _, last, _ in r.taken]
    return max([0, *spans, *taken, *(hold.least for hold in held)])


def _begun(hold: Held, rows: list[list[int]], earliest: Sequence[int], problem: Problem) -> Held:
    """Take what is held from slot 0 on, up to the earliest end of that; return the hold from there."""
    if hold.first >= 0:
        return hold
    since = min(earliest[hold.last], problem.horizon) + problem.tasks[hold.last].slots
    take(rows, hold.row, hold.capacity, hold.units, 0, since)
    return replace(hold, since=since)


def _earliest(
    order: Sequence[int], ahead: dict[int, list[Arc]], options: Sequence[tuple[Option, ...]], horizon: int
) -> list[int]:
    """Return the earliest start of each task, alone in the shop."""
    found = [0] * len(order)
    for task in order:
        starts = [first_of(option.starts, found[task]) for option in options[task]]
        found[task] = min((start for start in starts if start is not None), default=horizon)
        for arc in ahead.get(task, ()):
            found[arc.then] = max(found[arc.then], found[task] + arc.wait)
    return found


def _tails(
    problem: Problem,
    order: Sequence[int],
    ahead: dict[int, list[Arc]],
    place: dict[str, int],
    job_of: list[int],
) -> list[int]:
    found = [-maxsize] * len(order)
    for job in problem.jobs:
        for key in job.last:
            found[place[key]] = problem.tasks[place[key]].slots
    for task in reversed(order):
        waits = [
            arc.wait + found[arc.then] for arc in ahead.get(task, ()) if job_of[arc.then] == job_of[task]
        ]
        found[task] = max([found[task], *waits])
    return found


def _after(count: int, arcs: Sequence[Arc]) -> list[list[tuple[int, int, int]]]:
    found: list[list[tuple[int, int, int]]] = [[] for _ in range(count)]
    for arc in arcs:
        found[arc.then].append((arc.first, arc.wait, arc.lag))
    return found


def _limits(count: int, arcs: Sequence[Arc]) -> list[list[tuple[int, int, int, bool]]]:
    found: list[list[tuple[int, int, int, bool]]] = [[] for _ in range(count)]
    for arc in arcs:
        found[arc.first].append((arc.then, arc.wait, arc.lag, arc.most))
    return found


def _by_last(count: int, held: Sequence[Held]) -> list[list[Held]]:
    found: list[list[Held]] = [[] for _ in range(count)]
    for hold in held:
        found[hold.last].append(hold)
    return found
