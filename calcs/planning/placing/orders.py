"""Orders to place clusters in: what must come first, then the commissions by a given sequence."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from sys import maxsize

from calcs.kit.errors import OutOfRange
from calcs.planning.placing.bookings import NoRoom
from calcs.planning.placing.model import Model, last_of
from calcs.planning.placing.trail import Placer, Trail


@dataclass(frozen=True, slots=True)
class Orders:
    """Clusters that come first, in their order, and those of each commission after them."""

    model: Model
    urgent: tuple[int, ...]
    by_job: tuple[tuple[int, ...], ...]
    crossing: bool

    def of(self, sequence: Iterable[int], evenings: frozenset[int] = frozenset()) -> list[int]:
        """Return the order of the clusters for a sequence that names a commission once for each cluster.

        A cluster that may use unwanted slots is written as its complement, ``~cluster``.
        """
        left = [iter(clusters) for clusters in self.by_job]
        order = [*self.urgent, *[next(left[job]) for job in sequence]]
        if self.crossing:
            order = leaders_first(self.model, order, len(self.urgent))
        return [~number if number in evenings else number for number in order] if evenings else order

    def in_turn(self, jobs: Iterable[int]) -> list[int]:
        """Return the sequence that takes commissions one after another."""
        return [job for job in jobs for _ in self.by_job[job]]

    def by_start(self, starts: Mapping[str, int]) -> tuple["Orders", list[int]]:
        """Return orders and a sequence in which clusters come by their starts; new ones come last."""
        tasks = self.model.problem.tasks

        def first(number: int) -> int:
            return min(starts.get(tasks[task].key, maxsize) for task in self.model.clusters[number].tasks)

        keyed = sorted(
            (first(number), self.model.due[job], job, number)
            for job, own in enumerate(self.by_job)
            for number in own
        )
        by_job: list[list[int]] = [[] for _ in self.by_job]
        for _, _, job, number in keyed:
            by_job[job].append(number)
        orders = replace(self, by_job=tuple(map(tuple, by_job)), crossing=True)
        return orders, [job for _, _, job, _ in keyed]

    def free(self) -> list[int]:
        """Return the commissions whose clusters may come in more than one order."""
        clusters = self.model.clusters
        return [
            job
            for job, own in enumerate(self.by_job)
            if any(first not in clusters[then].leaders for first, then in pairwise(own))
        ]

    def with_own(self, job: int, own: Sequence[int]) -> "Orders":
        """Return orders in which a commission has its clusters in another order, leaders still first."""
        by_job = (*self.by_job[:job], tuple(self._leaders_first(own)), *self.by_job[job + 1 :])
        return replace(self, by_job=by_job)

    def longest_first(self) -> "Orders":
        """Return orders in which each commission first does what has the longest way to its end."""
        tails = [max(self.model.tails[task] for task in cluster.tasks) for cluster in self.model.clusters]
        by_job = [self._leaders_first(sorted(own, key=lambda c: -tails[c])) for own in self.by_job]
        return replace(self, by_job=tuple(map(tuple, by_job)))

    def _leaders_first(self, own: Sequence[int]) -> list[int]:
        """Return clusters of one commission with leaders before followers; all others count as done."""
        mine = set(own)
        others = [number for number in range(len(self.model.clusters)) if number not in mine]
        return leaders_first(self.model, [*others, *own], len(others))[len(others) :]


def by_due_date(model: Model) -> list[int]:
    """Return the commissions by due date, the heavier first; those without a date and no commission last."""
    jobs = range(len(model.due))
    return sorted(jobs, key=lambda job: (model.due[job], -model.late[job], job))


def orders_of(model: Model, urgent: Sequence[int]) -> Orders:
    """Return the orders in which some clusters come first."""
    first = set(urgent)
    by_job: list[list[int]] = [[] for _ in model.due]
    for number, cluster in enumerate(model.clusters):
        if number not in first:
            by_job[cluster.job].append(number)
    crossing = any(
        model.clusters[leader].job != cluster.job for cluster in model.clusters for leader in cluster.leaders
    )
    return Orders(model, tuple(urgent), tuple(map(tuple, by_job)), crossing)


def leaders_first(model: Model, order: Sequence[int], fixed: int = 0) -> list[int]:
    """Return an order with leaders moved before their followers; the first ``fixed`` stay where they are."""
    done = set(order[:fixed])
    found = list(order[:fixed])
    for number in order[fixed:]:
        found += _waiting(model, number, done)
    return found


def _waiting(model: Model, number: int, done: set[int]) -> Iterator[int]:
    """Yield what a cluster waits for and is not done, leaders first, then the cluster; note all as done."""
    stack = [number]
    while stack:
        waiting = [leader for leader in model.clusters[stack[-1]].leaders if leader not in done]
        if waiting:
            stack += waiting
        else:
            cluster = stack.pop()
            if cluster not in done:
                done.add(cluster)
                yield cluster


def urgent_of(model: Model) -> list[int]:
    """Return the clusters to place first: what ends a hold from slot 0 on with its leaders, what is pinned.

    A task is pinned if its last allowed start lies before the last eighth of the horizon.
    """
    found: list[int] = []
    done: set[int] = set()
    last = [max(last_of(option.starts) for option in options) for options in model.options]
    by_last = sorted(range(len(last)), key=lambda task: (last[task], task))
    for task in by_last:
        if any(hold.first < 0 for hold in model.holds[task]):
            found += _waiting(model, model.cluster_of[task], done)
    for task in by_last:
        if last[task] < model.problem.horizon - model.problem.horizon // 8 - model.slots[task]:
            cluster = model.cluster_of[task]
            found += [cluster] if cluster not in done else []
            done.add(cluster)
    return found


def first_plan(placer: Placer, jobs: Sequence[int]) -> tuple[Orders, Trail]:
    """Return the plan that takes commissions in turn; what has no room otherwise is placed first.

    Raises
    ------
    OutOfRange
        If a task has no start before the horizon, or none before what is pinned after it.
    """
    model = placer.model
    urgent = urgent_of(model)
    raised: set[int] = set()
    while True:
        orders = orders_of(model, urgent)
        found = placer.follow(placer.start(), orders.of(orders.in_turn(jobs)), float("inf"))
        if isinstance(found, Trail):
            return orders, found
        assert isinstance(found, NoRoom)
        late = model.cluster_of[found.task if found.before < 0 else found.before]
        if late in raised:
            raise _no_room(model, found)
        raised.add(late)
        urgent = _raise(model, urgent, late)


def _raise(model: Model, urgent: Sequence[int], late: int) -> list[int]:
    """Return the urgent clusters with one more, right after all it waits for."""
    done: set[int] = set()
    found = list(_waiting(model, late, done))
    return [*found, *(cluster for cluster in urgent if cluster not in done)]


def _no_room(model: Model, room: NoRoom) -> OutOfRange:
    task = model.problem.tasks[room.task].key
    last = max(last_of(option.starts) for option in model.options[room.task])
    if room.before >= 0:
        other = model.problem.tasks[room.before].key
        detail = f"tasks: {task} cannot be done before {other}, which may not start later."
    else:
        detail = f"tasks: {task} finds no room; it has to start by slot {last}."
    return OutOfRange(detail, field="tasks", value=task, allowed=f"a start by slot {last}")
