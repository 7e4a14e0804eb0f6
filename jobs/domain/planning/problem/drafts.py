"""A commission as tasks, lags and holds: the stages that people still have to work."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property

from django.utils import timezone

from calcs.planning.problem import Hold, Job, Lag, Resource, Task
from calcs.planning.spreads import Spread
from jobs.domain.commissions.labour_rates import ends_by_itself
from jobs.domain.planning.problem.axis import SLOT, Axis
from jobs.domain.planning.problem.client import ClientDates
from jobs.domain.planning.problem.lengths import WaitLengths
from jobs.domain.planning.problem.minutes import StageMinutes
from jobs.domain.planning.problem.orders import Orders, WaitAhead
from jobs.domain.planning.problem.people import People
from jobs.domain.planning.problem.places import Places
from jobs.domain.planning.problem.room import from_slot
from jobs.domain.planning.published import NotPlanned
from jobs.domain.waits.route import OVER, RouteState, is_once
from jobs.models import Commission, Stage

DELIVERED = "delivered"


@dataclass(frozen=True, kw_only=True)
class Pin:
    """What a maker fixed of a stage: its day, its person, or that it comes first."""

    day: date | None = None
    person: str = ""
    is_first: bool = False


@dataclass(frozen=True, kw_only=True)
class Part:
    """What a task is of: a stretch of a stage; ``spread`` is that of its minutes."""

    commission: str
    piece: str
    stage: Stage
    part: int
    parts: int
    spread: Spread
    maybe: bool = False
    pinned: bool = False


@dataclass(kw_only=True)
class Draft:
    """The tasks of one commission, and what of it cannot be planned."""

    commission: Commission
    tasks: list[Task] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    parts: dict[str, Part] = field(default_factory=dict)
    waits: list[tuple[RouteState, WaitAhead]] = field(default_factory=list)
    lag_spreads: dict[tuple[str, str], Spread] = field(default_factory=dict)
    not_planned: list[NotPlanned] = field(default_factory=list)
    first: dict[tuple[str, str], str] = field(default_factory=dict)
    last: dict[tuple[str, str], str] = field(default_factory=dict)
    delivers: list[Stage] = field(default_factory=list)

    def leave_out(self, route: RouteState, stage: Stage, why: str) -> None:
        """Record that a stage cannot be planned, with the words for the maker."""
        self.not_planned.append(
            NotPlanned(commission=self.commission.number, piece=route.piece.number, stage=stage.key, why=why)
        )


@dataclass(frozen=True, kw_only=True)
class Ground:
    """What every draft is made from: the axis, people, places, how long things take, what clients said."""

    now: datetime
    axis: Axis
    people: People
    places: Places
    held: Sequence[Hold]
    minutes: StageMinutes
    lengths: WaitLengths
    clients: ClientDates
    pins: Mapping[tuple[str, str], Pin]
    promises: Mapping[str, date]
    stretch: float
    unpinned: bool = False

    @cached_property
    def resources(self) -> list[Resource]:
        """Return the people as resources."""
        return self.people.resources

    @cached_property
    def opened(self) -> int:
        """Return the slots in which anybody works as usual."""
        return self.people.open

    @property
    def today(self) -> date:
        return timezone.localdate(self.now)

    def orders(self, route: RouteState) -> Orders:
        """Return what must come before each stage of a route."""
        return Orders(route, self.lengths, self.now)

    def promised(self, commission: Commission) -> date | None:
        """Return the promised day of a commission."""
        return self.promises.get(commission.number, commission.promise_on)

    def end_before(self, moment: datetime) -> int:
        """Return the slot at which the last work before a moment ends; that of the moment without any."""
        until = self.axis.last_until(moment)
        before = self.opened & ~from_slot(until, self.axis.horizon) if until > 0 else 0
        return before.bit_length() if before else until

    def slots(self, spread: Spread) -> int:
        """Return the slots that minutes of work take, with what the shop is called away for."""
        minutes = spread.median * self.stretch
        return max(1, -(-int(minutes * 60) // int(SLOT.total_seconds())))

    def stretched(self, spread: Spread, share: float = 1.0) -> Spread:
        """Return a share of a spread of minutes, with what the shop is called away for."""
        return replace(spread, median=spread.median * self.stretch * share)


def is_work(stage: Stage) -> bool:
    """Return whether people still have to work a stage."""
    return stage.step not in OVER and not stage.spec["passive"] and not ends_by_itself(stage)


def is_delivery(stage: Stage) -> bool:
    """Return whether a stage brings the piece to its client."""
    return bool(stage.spec["marks"] == DELIVERED)


def task_key(piece: str, stage: str, part: int, parts: int) -> str:
    """Return the key of a part of a stage: ``2026-014-1/glue-up``, ``2026-014-1/sand#2``."""
    return f"{piece}/{stage}" + (f"#{part}" if parts > 1 else "")


def stem(key: str) -> str:
    """Return the key of a task without the number of its part."""
    return key.partition("#")[0]


def once_names(routes: Iterable[RouteState]) -> dict[tuple[str, str], tuple[str, str]]:
    """Return, for stages done once for all pieces, under which piece the plan holds them."""
    found: dict[tuple[str, str], tuple[str, str]] = {}
    held: dict[str, tuple[str, str]] = {}
    for route in routes:
        for stage in route.stages:
            if is_once(stage) and is_work(stage):
                name = (route.piece.number, stage.key)
                found[name] = held.setdefault(stage.key, name)
    return found
