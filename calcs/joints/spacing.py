"""Even spacing inside a range, symmetrical to the middle, clear of what is in the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import up
from calcs.kit.units import inches

STEP = inches("1/8")
APART = inches(1)
"""Least wood between two places along the length; common practice, no source."""


Met = Callable[[], OutOfRange]
"""Tells what a place meets."""


@dataclass(frozen=True, kw_only=True)
class Spaced:
    """Places along a length.

    Attributes
    ----------
    at : tuple of int
        Places from the end [1/8 µm].
    spacing : Fraction or None
        Exact distance between neighbours [1/8 µm]; None for one place alone.
    notes : tuple of str
        Why the spacing is closer than the range.
    """

    at: tuple[int, ...]
    spacing: Fraction | None
    notes: tuple[str, ...] = ()


def positions(
    *,
    length: int,
    first: tuple[int, int],
    spacing: tuple[int, int],
    along: int,
    conflict: Callable[[int], Met | None],
) -> Spaced:
    """Return places along a length, each to the nearest 1/8 µm.

    Parameters
    ----------
    length : int
        Finished length [1/8 µm].
    first : tuple of int
        Where the first place is wanted, and how far it may move [1/8 µm].
    spacing : tuple of int
        Least and largest distance between neighbours [1/8 µm].
    along : int
        Length each place takes [1/8 µm].
    conflict : callable
        Returns what a place meets, or None.

    Returns
    -------
    Spaced

    Raises
    ------
    OutOfRange
        What the best way meets, where every way meets something.

    Notes
    -----
    With n gaps and the first place at s, the spacing is (length - 2 s) / n. The ways are ordered by the
    distance of s from where it is wanted, then by n. The first way that meets nothing is taken.
    A length that no even spacing in the range divides gets closer places, and a note.
    """
    inside = sorted(set(_inside(length, first, spacing)), key=lambda way: (abs(way[0] - first[0]), way[1]))
    ways = inside or [_closer(length, first[0], spacing[1], along)]
    met: Met | None = None
    for start, gaps in ways:
        here = next(filter(None, map(conflict, _places(length, start, gaps))), None)
        if here is None:
            notes = () if inside else (_why(gaps),)
            at = tuple(_places(length, start, gaps))
            return Spaced(at=at, spacing=Fraction(length - 2 * start, gaps) if gaps else None, notes=notes)
        met = met or here
    assert met is not None
    raise met()


def _inside(length: int, first: tuple[int, int], spacing: tuple[int, int]) -> Iterator[tuple[int, int]]:
    """Yield every start and count of gaps with the spacing in the range.

    Starts lie at steps of 1/8 in, at both ends of their range, and where the spacing is exactly least or
    largest.
    """
    wanted, give = first
    low, high = max(0, wanted - give), wanted + give
    starts = {wanted, low, high, *range(wanted, high, STEP), *range(wanted, low, -STEP)}
    for gaps in range(1, length // spacing[0] + 1):
        exact = {up(Fraction(length - gaps * spacing[1], 2)), (length - gaps * spacing[0]) // 2}
        for start in starts | {place for place in exact if low <= place <= high}:
            if gaps * spacing[0] <= length - 2 * start <= gaps * spacing[1]:
                yield start, gaps


def _closer(length: int, wanted: int, most: int, along: int) -> tuple[int, int]:
    """Return start and gaps of a length that no spacing in the range divides; one place where it is too short
    for two.
    """
    run = length - 2 * wanted
    if run < along + APART:
        return length // 2, 0
    return wanted, up(Fraction(run, most))


def _places(length: int, start: int, gaps: int) -> Iterator[int]:
    """Yield the places of even gaps, each to the nearest 1/8 µm."""
    if gaps == 0:
        yield start
        return
    run = length - 2 * start
    for step in range(gaps + 1):
        yield start + (2 * run * step + gaps) // (2 * gaps)


def _why(gaps: int) -> str:
    """Return the note on places closer than the range."""
    if gaps == 0:
        return "too short for two: one in the middle"
    return "closer than the range: no even spacing inside it divides this length"
