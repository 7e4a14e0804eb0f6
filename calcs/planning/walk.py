"""Walk from plan to plan by changed sequences, within a number of plans or a time."""

from dataclasses import dataclass, replace
from math import log
from random import Random
from time import monotonic

from calcs.kit.errors import OutOfRange
from calcs.planning.moves import moved, part_of, reordered
from calcs.planning.placing.orders import Orders
from calcs.planning.placing.scoring import DROPPED
from calcs.planning.placing.trail import Placer, Trail

WARMTH = 0.01
"""Share of its points by which a plan may be worse and yet be kept at the start, 1 time in e."""

EVENINGS = 0.15
"""Share of the changes that let clusters use unwanted slots, or no longer."""

WITHIN = 0.03
"""Share of the changes that reorder what one commission has."""


@dataclass(slots=True)
class Budget:
    """Limit of a search: a number of plans, or time of the clock [s] from now on, or both."""

    plans: int | None
    seconds: float | None
    tried: int = 0
    until: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a budget without an end."""
        allowed = "0 or more"
        for field, most in (("plans", self.plans), ("seconds", self.seconds)):
            if most is not None and most < 0:
                raise OutOfRange(
                    f"{field} is {most}; allowed: {allowed}.", field=field, value=most, allowed=allowed
                )
        if self.plans is None and self.seconds is None:
            raise OutOfRange("Give seconds or plans.", field="seconds", value=None, allowed=allowed)
        self.until = monotonic() + (self.seconds or 0)

    def left(self) -> float:
        """Return which share of the budget is left, 1 to 0."""
        shares = [0.0]
        if self.plans:
            shares.append(self.tried / self.plans)
        if self.seconds:
            shares.append(1 - (self.until - monotonic()) / self.seconds)
        return max(0.0, 1 - max(shares))

    def spend(self) -> bool:
        """Count one plan more; return False if the budget is spent."""
        if self.plans is not None and self.tried >= self.plans:
            return False
        if self.seconds is not None and monotonic() >= self.until:
            return False
        self.tried += 1
        return True


def walk(
    placer: Placer, orders: Orders, sequence: list[int], trail: Trail, budget: Budget, seed: int
) -> Trail:
    """Return the trail with the fewest points of those tried.

    A worse plan is kept as the present one the more readily, the less worse it is and the more budget is left
    (simulated annealing). The most it may have is drawn before it is placed, so a bad one is soon given up.

    References
    ----------
    .. [1] S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, "Optimization by Simulated Annealing", Science 220
       (1983), 671-680 (from memory).
    """
    chance = Random(seed)
    best = trail
    present = _Choice(orders, sequence)
    change = _Changes(placer, orders, sequence, chance)
    warm = WARMTH * (trail.points % DROPPED)
    while sequence and budget.spend():
        tried = change.of(present)
        order = tried.orders.of(tried.sequence, tried.evenings)
        if order == trail.order:
            continue
        most = trail.points - warm * budget.left() * log(1 - chance.random())
        found = placer.follow(trail, order, most)
        if isinstance(found, Trail):
            present, trail = tried, found
            if trail.points < best.points:
                best = trail
    return best


@dataclass(frozen=True, slots=True)
class _Choice:
    """Makings of an order: clusters of each commission, the sequence, clusters that may use evenings."""

    orders: Orders
    sequence: list[int]
    evenings: frozenset[int] = frozenset()


class _Changes:
    """Changes of a choice, by chance."""

    def __init__(self, placer: Placer, orders: Orders, sequence: list[int], chance: Random) -> None:
        self.chance = chance
        self.free = orders.free()
        self.alone = len(set(sequence)) < 2
        self.unwanted = bool(placer.model.problem.unwanted)

    def of(self, choice: _Choice) -> _Choice:
        """Return a choice with one thing changed, or with evenings and one thing more."""
        chance, kind = self.chance, self.chance.random()
        if self.unwanted and kind < EVENINGS:
            own = choice.orders.by_job[chance.choice(choice.sequence)]
            choice = replace(choice, evenings=choice.evenings ^ frozenset(part_of(own, chance)))
            if chance.random() < 0.5:
                return choice
        if self.free and (self.alone or kind > 1 - WITHIN):
            job = chance.choice(self.free)
            turned = reordered(choice.orders.by_job[job], chance)
            orders = choice.orders.with_own(job, turned)
            if self.alone or orders.by_job != choice.orders.by_job:
                return replace(choice, orders=orders)
        return replace(choice, sequence=moved(choice.sequence, chance))
