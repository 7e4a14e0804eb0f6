"""An order of clusters and the plan it makes; a changed order is placed only from its first change on."""

from collections.abc import Sequence
from dataclasses import dataclass

from calcs.planning.placing.bookings import Bookings, NoRoom, Placing, empty
from calcs.planning.placing.model import Model
from calcs.planning.placing.scoring import DROPPED, Scoring
from calcs.planning.problem import Lag, Placed, Plan


@dataclass(slots=True)
class Step:
    """Bookings, ends of the commissions and points before one cluster of an order is placed."""

    book: Bookings
    ends: list[int]
    points: int


@dataclass(slots=True)
class Trail:
    """An order that was placed, with a step before each of its clusters and one after the last."""

    order: list[int]
    steps: list[Step]

    @property
    def points(self) -> int:
        """Return the points of the whole plan."""
        return self.steps[-1].points


class Placer:
    """Placing of whole orders of one model."""

    def __init__(self, model: Model, placing: Placing, scoring: Scoring) -> None:
        """Prepare for a model."""
        self.model, self.placing, self.scoring = model, placing, scoring

    def start(self) -> Trail:
        """Return the trail of the empty order."""
        return Trail([], [Step(empty(self.model), self.model.first_ends.copy(), self.scoring.first())])

    def follow(self, trail: Trail, order: Sequence[int], most: float) -> Trail | NoRoom | None:
        """Return the trail of an order, or None as soon as it has more than ``most`` points.

        Parameters
        ----------
        trail : Trail
            A placed order; what both orders have in common at their beginning is not placed again.
        order : sequence
            Numbers of the clusters, leaders before followers; the complement of one that may use evenings.
        most : float
            Points [of ``value``, and of moves where they are counted].
        """
        same = _common(trail.order, order)
        rejoins = len(order) - _common(trail.order[::-1], order[::-1])
        steps = trail.steps[: same + 1]
        before = steps[-1]
        book, ends, points = before.book.copy(), before.ends.copy(), before.points
        for place, number in enumerate(order[same:], same):
            if place >= rejoins and len(trail.order) == len(order) and _same(book, trail.steps[place].book):
                return Trail(list(order), steps + trail.steps[place + 1 :])
            cluster = self.model.clusters[number if number >= 0 else ~number]
            dropped = len(book.dropped)
            room = self.placing.place(book, cluster, evenings=number < 0)
            if room is not None:
                return room
            points += self.scoring.added(ends, book, cluster) + DROPPED * (len(book.dropped) - dropped)
            if points > most:
                return None
            steps.append(Step(book.copy(), ends.copy(), points))
        return Trail(list(order), steps)


def _same(first: Bookings, then: Bookings) -> bool:
    """Return whether two bookings have the same tasks at the same slots by the same people."""
    return first.starts == then.starts and first.teams == then.teams


def _common(first: Sequence[int], then: Sequence[int]) -> int:
    """Return how many clusters two orders have in common at their beginning."""
    count = min(len(first), len(then))
    return next((i for i in range(count) if first[i] != then[i]), count)


def plan_of(model: Model, trail: Trail) -> Plan:
    """Return the plan of a whole order."""
    book = trail.steps[-1].book
    return {
        task.key: Placed(start=book.starts[i], team=model.options[i][book.teams[i]].team)
        for i, task in enumerate(model.problem.tasks)
    }


def dropped_of(model: Model, trail: Trail) -> tuple[Lag, ...]:
    """Return the lags whose maximum the plan does not keep."""
    return tuple(model.problem.lags[number] for number in sorted(trail.steps[-1].book.dropped))
