"""Projectors of derived rows: each room registers its own, and the log calls them.

A projector updates derived rows by the kinds of a command's events. Estimates come before the reminders that
use them.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from enum import IntEnum

from jobs.log.projections.kinds import KINDS
from jobs.models import Event

Projector = Callable[[list[Event]], None]
Refill = Callable[[], None]


class Turn(IntEnum):
    """The order of projectors: each reads what the earlier ones wrote."""

    READINGS = 0
    ESTIMATES = 1
    REMINDERS = 2
    PLAN = 3


_projectors: dict[Turn, list[tuple[frozenset[str], Projector]]] = defaultdict(list)
_refills: dict[Turn, list[Refill]] = defaultdict(list)


def projects(turn: Turn, *kinds: str) -> Callable[[Projector], Projector]:
    """Register a function that gets the events of these kinds at the end of their command."""
    if unknown := sorted(set(kinds) - KINDS.keys()):
        raise LookupError(f"no kind of event is called {unknown[0]}")

    def register(projector: Projector) -> Projector:
        _projectors[turn].append((frozenset(kinds), projector))
        return projector

    return register


def refills(turn: Turn) -> Callable[[Refill], Refill]:
    """Register a function that drops and refills all rows of its kind."""

    def register(refill: Refill) -> Refill:
        _refills[turn].append(refill)
        return refill

    return register


def project(events: Iterable[Event]) -> None:
    """Update the derived rows that these events affect."""
    events = list(events)
    present = {event.kind for event in events}
    for turn in sorted(_projectors):
        for kinds, projector in _projectors[turn]:
            if kinds & present:
                projector([event for event in events if event.kind in kinds])


def refill(*, since: Turn = Turn.READINGS) -> None:
    """Drop and refill every derived row, or those from this turn on."""
    for turn in sorted(_refills):
        if turn >= since:
            for each in _refills[turn]:
                each()
