"""Sets of slots as integers: where a run of slots fits, and long sets cut into weeks."""

CHUNK = 2016
"""Slots of one part of a long set: a week, so that a part begins and ends at night."""


def runs_of(free: int, slots: int) -> int:
    """Return the slots from which ``slots`` slots in a row are in the set."""
    if slots <= 0:
        return free
    have = 1
    while have * 2 <= slots and free:
        free &= free >> have
        have *= 2
    return free & (free >> (slots - have)) if slots > have else free


def lowest(found: int) -> int:
    """Return the first slot of a set that is not empty."""
    return (found & -found).bit_length() - 1


def parts_of(found: int, count: int) -> list[int]:
    """Return a set in ``count`` parts of a week."""
    data = (found & ((1 << (CHUNK * count)) - 1)).to_bytes(CHUNK // 8 * count, "little")
    return [int.from_bytes(data[i : i + CHUNK // 8], "little") for i in range(0, len(data), CHUNK // 8)]


def longest_run(found: int, most: int) -> int:
    """Return the length of the longest run of slots in the set, at most ``most``."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if runs_of(found, middle) else (low, middle - 1)
    return low
