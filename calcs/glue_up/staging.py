"""Fewest clampings of a glue-up that a glue's open time and the machines allow.

A purely combinatorial search, exact for its model: strips in a row, at most so many joints at once, and no
sub-assembly wider than the machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from calcs.kit.rounding import up

Span = tuple[int, int]
"""First strip of a piece, and the one after its last."""


@dataclass(frozen=True, kw_only=True)
class Clamping:
    """One stage: the pieces it joins, left to right. Stages of one round do not wait for each other.

    Attributes
    ----------
    parts : tuple of (int, int)
        Pieces, each by its first strip and the one after its last.
    round : int
        Rounds before it, and one.
    """

    parts: tuple[Span, ...]
    round: int

    @property
    def span(self) -> Span:
        """Return the first strip of the piece it makes, and the one after its last."""
        return self.parts[0][0], self.parts[-1][1]

    @property
    def joints(self) -> int:
        """Return the number of joints it closes."""
        return len(self.parts) - 1


def fewest(widths_len: Sequence[int], *, at_once: int, widest_len: int | None) -> tuple[Clamping, ...] | None:
    """Return the fewest stages that join all strips; of equal plans the fewest rounds, then the fewest last
    joints.

    Parameters
    ----------
    widths_len : sequence of int
        Strips left to right [1/8 µm]; two at least.
    at_once : int
        Joints that one stage may close.
    widest_len : int or None
        Width that a sub-assembly may have, to go through planer and jointer [1/8 µm].

    Returns
    -------
    tuple of Clamping, or None
        In working order; None where no plan keeps every sub-assembly within ``widest_len``.

    Notes
    -----
    Exact. A sub-assembly of n strips within the width takes ceil((n - 1) / at_once) stages in as few rounds
    as its count allows, for any part of it is narrower still. So only the last stage has to be searched:
    where its pieces begin and end. A piece is never worse for being longer at the same number of stages.

    Examples
    --------
    Six strips, three joints at once: four strips first, then three pieces.

    >>> [stage.parts for stage in fewest((6,) * 6, at_once=3, widest_len=None) or ()]
    [((0, 1), (1, 2), (2, 3), (3, 4)), ((0, 4), (4, 5), (5, 6))]
    """
    return _joined(tuple(widths_len), (0, len(widths_len)), at_once, widest_len)


def least_width(widths_len: Sequence[int], *, at_once: int) -> int:
    """Return the narrowest ``widest_len`` for which `fewest` has a plan [1/8 µm], by bisection over all
    pieces.
    """
    sums = {sum(widths_len[i:j]) for i in range(len(widths_len)) for j in range(i + 2, len(widths_len) + 1)}
    rising = sorted(sums)
    low, high = 0, len(rising) - 1
    while low < high:
        middle = (low + high) // 2
        if _last_parts(widths_len, (0, len(widths_len)), at_once, rising[middle]) is None:
            low = middle + 1
        else:
            high = middle
    return rising[low]


def _joined(
    widths: Sequence[int], span: Span, at_once: int, widest: int | None
) -> tuple[Clamping, ...] | None:
    """Return the stages that join a span of strips, in working order; None where the width allows none."""
    parts = _last_parts(widths, span, at_once, widest)
    if parts is None:
        return None
    before = [
        stage
        for part in parts
        if part[1] - part[0] > 1
        for stage in _joined(widths, part, at_once, widest) or ()
    ]
    last = Clamping(parts=parts, round=1 + max((stage.round for stage in before), default=0))
    return (*sorted(before, key=lambda stage: (stage.round, stage.span)), last)


def _last_parts(
    widths: Sequence[int], span: Span, at_once: int, widest: int | None
) -> tuple[Span, ...] | None:
    """Return the pieces of the stage that completes a span: fewest stages before it, fewest rounds, fewest
    pieces.
    """
    first, after = span
    count = after - first
    if count <= at_once + 1:
        return tuple((n, n + 1) for n in range(first, after))
    best: tuple[int, int, tuple[Span, ...]] | None = None
    for rounds in range(_rounds(count, at_once) + 1):
        found = _partition(widths, span, at_once, widest, (at_once + 1) ** rounds)
        if found and (best is None or found[0] < best[0]):
            best = (found[0], rounds, found[1])
    return best[2] if best else None


def _partition(
    widths: Sequence[int], span: Span, at_once: int, widest: int | None, most: int
) -> tuple[int, tuple[Span, ...]] | None:
    """Return two to ``at_once`` + 1 pieces of at most ``most`` strips, with the fewest stages inside them.

    Notes
    -----
    Dynamic programme over the end of the last piece, one more piece a pass.
    """
    first, after = span
    reach: dict[int, tuple[int, tuple[Span, ...]]] = {first: (0, ())}
    best: tuple[int, tuple[Span, ...]] | None = None
    for pieces in range(1, at_once + 2):
        further: dict[int, tuple[int, tuple[Span, ...]]] = {}
        for start, (stages, parts) in sorted(reach.items(), reverse=True):
            for end in _ends(widths, start, after, at_once, widest, most):
                cost = stages + _stages(end - start, at_once)
                if end not in further or cost < further[end][0]:
                    further[end] = (cost, (*parts, (start, end)))
        reach = further
        if pieces > 1 and after in reach and (best is None or reach[after][0] < best[0]):
            best = reach[after]
    return best


def _ends(
    widths: Sequence[int], start: int, after: int, at_once: int, widest: int | None, most: int
) -> list[int]:
    """Return, for each number of stages inside a piece from ``start``, the end of the longest such piece."""
    if start == after:
        return []
    longest, width = 1, widths[start]
    while longest < min(most, after - start) and (
        widest is None or width + widths[start + longest] <= widest
    ):
        width += widths[start + longest]
        longest += 1
    full = range(1, longest + 1, at_once)
    return sorted({start + length for length in (*full, longest)})


def _stages(count: int, at_once: int) -> int:
    """Return the stages that a piece of ``count`` strips takes: ceil((count - 1) / at_once)."""
    return up(Fraction(count - 1, at_once))


def _rounds(count: int, at_once: int) -> int:
    """Return the fewest rounds in which ``count`` strips become one: the least r with (at_once + 1)^r >=
    count.
    """
    rounds = 0
    while (at_once + 1) ** rounds < count:
        rounds += 1
    return rounds
