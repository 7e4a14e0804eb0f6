"""Sets of slots as integers: where a run of slots fits, and long sets cut into weeks."""

from functools import lru_cache

CHUNK = 2016
"""Slots of one part of a long set: a week, so that a part begins and ends at night."""
PART = (1 << CHUNK) - 1


def runs_of(free: int, slots: int) -> int:
    """Return the slots from which ``slots`` slots in a row are in the set."""
    if slots <= 0:
        return free
    have = 1
    while have * 2 <= slots and free:
        free &= free >> have
        have *= 2
    return free & (free >> (slots - have)) if slots > have else free


def before(taken: int, slots: int) -> int:
    """Return the slots from which ``slots`` slots in a row would meet the set."""
    if slots <= 0:
        return 0
    have = 1
    while have * 2 <= slots:
        taken |= taken >> have
        have *= 2
    return taken | (taken >> (slots - have)) if slots > have else taken


def lowest(found: int) -> int:
    """Return the first slot of a set that is not empty."""
    return (found & -found).bit_length() - 1


def parts_of(found: int, count: int) -> list[int]:
    """Return a set in ``count`` parts of a week."""
    data = (found & ((1 << (CHUNK * count)) - 1)).to_bytes(CHUNK // 8 * count, "little")
    return [int.from_bytes(data[i : i + CHUNK // 8], "little") for i in range(0, len(data), CHUNK // 8)]


def longest_run(found: int, most: int) -> int:
    """Return how many slots in a row the set has at most; ``most`` or more is told as ``most``."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if runs_of(found, middle) else (low, middle - 1)
    return low


@lru_cache(maxsize=4096)
def mask(first: int, last: int) -> int:
    """Return the slots from ``first`` to ``last`` without it, inside one part."""
    return ((1 << (last - first)) - 1) << first
