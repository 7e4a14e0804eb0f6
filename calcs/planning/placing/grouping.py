"""Clusters: tasks that must be placed together, and which cluster comes after which."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calcs.planning.placing.allowed import Held
from calcs.planning.placing.network import Arc, components


@dataclass(frozen=True, slots=True)
class Cluster:
    """Tasks that are placed together, in the order of placing. ``leaders`` are clusters it comes after."""

    tasks: tuple[int, ...]
    job: int
    leaders: tuple[int, ...]


def clusters_of(
    arcs: Sequence[Arc],
    held: Sequence[Held],
    order: Sequence[int],
    earliest: Sequence[int],
    job_of: Sequence[int],
) -> tuple[list[Cluster], list[int]]:
    """Return the clusters in an order in which leaders come first, and the cluster of each task."""
    number = components(len(order), _links(arcs, held))
    place = {task: i for i, task in enumerate(order)}
    groups: dict[int, list[int]] = defaultdict(list)
    for task in sorted(order, key=lambda task: (earliest[task], place[task])):
        groups[number[task]].append(task)
    leaders: dict[int, set[int]] = {root: set() for root in groups}
    for arc in arcs:
        if number[arc.first] != number[arc.then]:
            leaders[number[arc.then]].add(number[arc.first])
    roots = list(_leaders_first(list(groups), leaders))
    new = {root: i for i, root in enumerate(roots)}
    clusters = [
        Cluster(tuple(groups[root]), job_of[groups[root][0]], tuple(sorted(new[r] for r in leaders[root])))
        for root in roots
    ]
    return clusters, [new[root] for root in number]


def _links(arcs: Sequence[Arc], held: Sequence[Held]) -> Iterator[tuple[int, int]]:
    for arc in arcs:
        yield arc.first, arc.then
    for hold in held:
        if hold.first >= 0:
            yield hold.first, hold.last
            yield hold.last, hold.first


def _leaders_first(roots: Sequence[int], leaders: dict[int, set[int]]) -> Iterator[int]:
    """Yield the groups in the order given, each after those it waits for."""
    done: set[int] = set()
    for root in roots:
        stack = [root]
        while stack:
            waiting = [other for other in leaders[stack[-1]] if other not in done]
            if waiting:
                stack += waiting
            else:
                group = stack.pop()
                if group not in done:
                    done.add(group)
                    yield group
