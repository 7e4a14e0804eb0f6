"""Where a stretch of work fits into open slots, and how a long stage is split."""

from collections.abc import Iterable

from calcs.planning.problem import Resource, span

LONGEST_PART = 24
"""Slots of the longest stretch of a stage that can be left and taken up again: two hours. Common practice."""


def starts_in(opened: int, slots: int) -> int:
    """Return the slots from which ``slots`` slots in a row are open."""
    found, width = opened, 1
    while width < slots:
        step = min(width, slots - width)
        found &= found >> step
        width += step
    return found


def starts_of(teams: Iterable[tuple[str, ...]], people: Iterable[Resource], slots: int) -> int:
    """Return the slots from which one of the teams has the time for so many slots."""
    opened = {each.key: each.open for each in people}
    found = 0
    for team in teams:
        together = -1
        for key in team:
            together &= opened[key]
        found |= starts_in(together, slots)
    return found


def split(slots: int, *, longest: int = LONGEST_PART) -> list[int]:
    """Return the parts of a stage: as few as can be, as even as can be, none longer than ``longest``."""
    parts = max(1, -(-slots // longest))
    whole, rest = divmod(slots, parts)
    return [whole + (n < rest) for n in range(parts)]


def run_from(opened: int, slot: int) -> int:
    """Return how many slots in a row are open from a slot on."""
    shifted = opened >> slot
    return (~shifted & (shifted + 1)).bit_length() - 1 if shifted & 1 else 0


def from_slot(slot: int, horizon: int) -> int:
    """Return the slots from this one to the horizon."""
    first = min(max(slot, 0), horizon)
    return span(first, horizon - first)
