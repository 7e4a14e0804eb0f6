"""Lags as a network of arcs: order of the tasks, longest ways, what belongs together."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from calcs.kit.errors import CalcError
from calcs.planning.problem import Problem


@dataclass(frozen=True, slots=True)
class Arc:
    """``start of then >= start of first + wait``, by the numbers of the tasks and of the lag.

    ``most`` marks the arc that a maximum lag makes, from its follower back to its leader.
    """

    first: int
    then: int
    wait: int
    lag: int
    most: bool = False


def arcs_of(problem: Problem, place: Mapping[str, int]) -> list[Arc]:
    """Return an arc for each least lag and one backward for each maximum lag."""
    found = []
    for number, lag in enumerate(problem.lags):
        first, then = place[lag.first], place[lag.then]
        slots = problem.tasks[first].slots
        found.append(Arc(first, then, slots + lag.least, number))
        if lag.most is not None:
            found.append(Arc(then, first, -(slots + lag.most), number, True))
    return found


def in_order(problem: Problem, arcs: Iterable[Arc]) -> list[int]:
    """Return the numbers of the tasks, leaders before followers.

    Raises
    ------
    CalcError
        If tasks wait for one another in a circle.
    """
    sorter: TopologicalSorter[int] = TopologicalSorter({i: () for i in range(len(problem.tasks))})
    for arc in arcs:
        if arc.wait >= 0 and not arc.most:
            sorter.add(arc.then, arc.first)
    try:
        return list(sorter.static_order())
    except CycleError as error:
        keys = [problem.tasks[i].key for i in error.args[1]]
        detail = (
            f"lags: {' -> '.join(keys)} wait for one another in a circle; a task may not wait for itself."
        )
        raise CalcError(
            detail, field="lags", value=keys, allowed="tasks in an order without a circle"
        ) from None


def by_first(arcs: Iterable[Arc]) -> dict[int, list[Arc]]:
    """Return the arcs of least lags by the task they begin at."""
    found: dict[int, list[Arc]] = defaultdict(list)
    for arc in arcs:
        if not arc.most:
            found[arc.first].append(arc)
    return found


def longest_between(
    order: Sequence[int], ahead: Mapping[int, Sequence[Arc]], first: int, last: int
) -> int | None:
    """Return how long after one task another starts at the least, calendars apart; None without a way."""
    found = {first: 0}
    for task in order[order.index(first) :]:
        if task == last:
            break
        if task in found:
            for arc in ahead.get(task, ()):
                wait = found[task] + arc.wait
                found[arc.then] = max(found.get(arc.then, wait), wait)
    return found.get(last)


def components(count: int, links: Iterable[tuple[int, int]]) -> list[int]:
    """Return for each task a number; tasks on a common circle of links share it."""
    ahead: list[list[int]] = [[] for _ in range(count)]
    back: list[list[int]] = [[] for _ in range(count)]
    for first, then in links:
        ahead[first].append(then)
        back[then].append(first)
    number = [-1] * count
    for root in reversed(_by_end(count, ahead)):
        stack = [root] if number[root] < 0 else []
        while stack:
            task = stack.pop()
            if number[task] < 0:
                number[task] = root
                stack += [other for other in back[task] if number[other] < 0]
    return number


def _by_end(count: int, ahead: Sequence[Sequence[int]]) -> list[int]:
    """Return the tasks in the order in which a walk along the links leaves them."""
    seen = [False] * count
    left: list[int] = []
    for root in range(count):
        stack = [(root, iter(ahead[root]))] if not seen[root] else []
        seen[root] = True
        while stack:
            task, others = stack[-1]
            for other in others:
                if not seen[other]:
                    seen[other] = True
                    stack.append((other, iter(ahead[other])))
                    break
            else:
                left.append(task)
                stack.pop()
    return left
