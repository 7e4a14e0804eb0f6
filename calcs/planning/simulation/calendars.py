"""Open time of people and resources as windows: where work may start, and when some slots of it are done."""

from bisect import bisect_right
from collections.abc import Iterable
from itertools import accumulate

from calcs.planning.problem import ALWAYS

Windows = list[tuple[int, int]]
"""Disjoint windows in their order, each from its first slot to the slot after its last."""


def windows_of(slots: int, horizon: int) -> Windows:
    """Return the set of slots below ``horizon`` as windows."""
    text = format(slots % (1 << horizon), "b")[::-1] + "0"
    windows: Windows = []
    first = text.find("1")
    while first >= 0:
        last = text.find("0", first)
        windows.append((first, last))
        first = text.find("1", last)
    return windows


def starts_that_reach(then: int, least: int, most: int) -> int:
    """Return the slots from which a slot of ``then`` lies at least and at most so many slots ahead."""
    reached, have = _earlier(then, least), 1
    while have < most - least + 1:
        step = min(have, most - least + 1 - have)
        reached |= reached >> step
        have += step
    return reached


def _earlier(slots: int, by: int) -> int:
    return slots >> by if by >= 0 else slots << -by


class Starts:
    """Slots in which something may start."""

    def __init__(self, slots: int, horizon: int) -> None:
        self.always = slots == ALWAYS
        windows = [] if self.always else windows_of(slots, horizon)
        self.first = [first for first, _ in windows]
        self.last = [last for _, last in windows]

    def from_(self, slot: int) -> int | None:
        """Return the first start at ``slot`` or later, None if there is none."""
        if self.always:
            return slot
        at = bisect_right(self.last, slot)
        return max(slot, self.first[at]) if at < len(self.first) else None


class Calendar:
    """Windows in which work goes on. What a window is too short for goes on in the next one."""

    def __init__(self, windows: Iterable[tuple[int, int]]) -> None:
        kept = list(windows)
        self.first = [first for first, _ in kept]
        self.last = [last for _, last in kept]
        self.before = [0, *accumulate(last - first for first, last in kept)]

    def from_(self, slot: int) -> int | None:
        """Return the first open slot at ``slot`` or later, None if there is none."""
        at = bisect_right(self.last, slot)
        return max(slot, self.first[at]) if at < len(self.first) else None

    def end(self, start: int, slots: int) -> int | None:
        """Return the slot after the last of so many open slots from ``start``, an open slot; None: never."""
        if not slots:
            return start
        at = bisect_right(self.last, start)
        if at == len(self.last):
            return None
        if start + slots <= self.last[at]:
            return start + slots
        done = self.before[at] + start - self.first[at] + slots
        window = bisect_right(self.before, done - 1) - 1
        return self.first[window] + done - self.before[window] if window < len(self.first) else None
