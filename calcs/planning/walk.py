"""Walk from plan to plan by changed sequences, within a number of plans or a time."""

from dataclasses import dataclass
from random import Random
from time import monotonic

from calcs.kit.errors import OutOfRange
from calcs.planning.moves import moved
from calcs.planning.placing.orders import Orders
from calcs.planning.placing.trail import Placer, Trail


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
    """Return the trail with the fewest points of those tried."""
    chance = Random(seed)
    best = trail
    if len(set(sequence)) == 0:
        return best
    while budget.spend():
        tried = moved(sequence, chance)
        most = trail.points
        found = placer.follow(trail, orders.of(tried), most)
        if isinstance(found, Trail):
            sequence, trail = tried, found
            if trail.points < best.points:
                best = trail
    return best
