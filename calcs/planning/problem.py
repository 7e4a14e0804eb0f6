"""The planning problem: tasks with lags and held resources on one axis of calendar time.

Time is counted in slots of ``SLOT_MINUTES`` from the origin of the problem; a set of slots is an integer
whose bit t stands for slot t. A plan gives each task its start and its team.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

SLOT_MINUTES = 5
ALWAYS = -1
"""Every slot; as an integer, all bits are set."""
LATE = 10
"""Points of a slot of tardiness for a commission of weight 1; a slot of its completion is 1 point."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Resource:
    """A person, clamps of some reach, a bench place, the finishing room.

    ``open`` are the slots in which it may be worked with; what is held or kept runs through closed slots.
    ``taken`` are units in use already: first slot, slot after the last, units.
    """

    key: str
    capacity: int = 1
    open: int = ALWAYS
    taken: tuple[tuple[int, int, int], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Task:
    """One attended piece of work, done without a break.

    Parameters
    ----------
    slots : int
        How long it lasts; 0 for a moment that only orders others.
    starts : int
        Slots in which it may start. Whether its people and its resources are open is not part of it.
    uses : mapping
        Units of each resource while it is worked; the resource must be open all the while.
    teams : sequence
        Choices of people: one unit of every resource of one choice is used as well. Empty: nobody is needed.
    keeps : mapping
        Slots from its start in which one unit of a resource stays taken (a coat that must dry there).
    """

    key: str
    job: str
    slots: int
    starts: int = ALWAYS
    uses: Mapping[str, int] = field(default_factory=dict)
    teams: tuple[tuple[str, ...], ...] = ()
    keeps: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Lag:
    """``least <= start of then - end of first <= most``, in slots; ``most`` None: without limit.

    ``least`` may be negative. A follower without a wait has ``least`` 0.
    """

    first: str
    then: str
    least: int = 0
    most: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """Units of a resource held from the start of a task to the end of another, through closed slots too.

    ``first`` empty: it is held from slot 0 on (clamps that are in use now).
    """

    resource: str
    units: int
    first: str
    last: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A commission. It is complete when every task of ``last`` has ended, and is late after ``due``."""

    key: str
    last: tuple[str, ...]
    due: int | None = None
    weight: int = 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """Everything a plan must respect. No task may start at ``horizon`` or later.

    ``unwanted`` are slots that may be worked but should not be (evenings); each slot of a task in them costs
    ``unwanted_points``.
    """

    horizon: int
    tasks: tuple[Task, ...]
    resources: tuple[Resource, ...] = ()
    lags: tuple[Lag, ...] = ()
    holds: tuple[Hold, ...] = ()
    jobs: tuple[Job, ...] = ()
    unwanted: int = 0
    unwanted_points: int = 50


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """The place of a task in a plan: its start [slot] and the people who do it."""

    start: int
    team: tuple[str, ...] = ()


Plan = Mapping[str, Placed]
"""By the key of the task."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """Result of a planner.

    Parameters
    ----------
    value : int
        Points of the plan, as ``value`` counts them.
    plans : int
        How many plans were tried.
    dropped : tuple of Lag
        Lags whose maximum cannot be kept: the plan breaks it, and the maker needs a remedy.
    coarse_from : int or None
        Slot from which the plan is rough; None: nowhere.
    """

    plan: Plan
    value: int
    plans: int = 0
    dropped: tuple[Lag, ...] = ()
    coarse_from: int | None = None


def value(problem: Problem, plan: Plan) -> int:
    """Return the points of a plan, less is better: ``LATE`` times weight times tardiness of each job, plus
    its completion, plus what unwanted slots cost.
    """
    slots = {task.key: task.slots for task in problem.tasks}
    points = 0
    for job in problem.jobs:
        end = max(plan[key].start + slots[key] for key in job.last)
        late = max(0, end - job.due) if job.due is not None else 0
        points += LATE * job.weight * late + end
    return points + unwanted_value(problem, plan)


def unwanted_value(problem: Problem, plan: Plan) -> int:
    """Return the points of the slots worked though unwanted."""
    if not problem.unwanted:
        return 0
    worked = sum((problem.unwanted & span(plan[t.key].start, t.slots)).bit_count() for t in problem.tasks)
    return problem.unwanted_points * worked


def span(start: int, slots: int) -> int:
    """Return the set of ``slots`` slots from ``start``."""
    return ((1 << slots) - 1) << start


def slots_of(spans: Sequence[tuple[int, int]]) -> int:
    """Return the set of slots of spans, each from its first slot to its last without it."""
    found = 0
    for first, last in spans:
        found |= span(first, max(0, last - first))
    return found
