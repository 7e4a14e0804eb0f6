"""Pegs of a breadboard end with their slots in the tongue, and its reveal at the edges of the panel."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import half_up
from calcs.kit.units import both_units, inches
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.wood.seasonal_movement import SeasonalMovement, Slot, slot

SEEN = inches("1/64")
"""A smaller step at the edge counts as flush; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Peg:
    """One peg.

    Attributes
    ----------
    at_len : int
        Place from the left edge of the panel when made [1/8 µm].
    round : bool
        True for the middle one, which has a round hole.
    slot : Slot
        Its slot in the tongue.
    """

    at_len: Annotated[int, Figure("From the left edge")]
    round: Annotated[bool, Figure("Round hole")]
    slot: Annotated[Slot, Figure("Slot", within={"inner_len": Figure("Peg from the slot's inner end")})]


def pegs_of(end: BreadboardEnd, of: SeasonalMovement) -> tuple[Peg, ...]:
    """Return the pegs from left to right, each with its slot."""
    return tuple(_peg(end, of, at) for at in _places(end))


def _places(end: BreadboardEnd) -> tuple[int, ...]:
    """Return the places of the pegs from the left edge, even between the outermost two [1/8 µm]."""
    if end.pegs == 1:
        return (half_up(Fraction(end.width_len, 2)),)
    between = end.width_len - 2 * end.peg_edge_len
    return tuple(end.peg_edge_len + half_up(Fraction(between * n, end.pegs - 1)) for n in range(end.pegs))


def _peg(end: BreadboardEnd, of: SeasonalMovement, at: int) -> Peg:
    """Return one peg with its slot; the middle one has a round hole without play."""
    away = half_up(abs(at - Fraction(end.width_len, 2)))
    middle = at == half_up(Fraction(end.width_len, 2))
    play = 0 if middle else end.tolerance_len
    away = 0 if middle else away
    return Peg(
        at_len=at,
        round=middle,
        slot=slot(of, from_fixed_len=away, across_len=end.peg_len, tolerance_len=play, in_wood=True),
    )


@dataclass(frozen=True, kw_only=True)
class Reveal:
    """Reveal at either edge: how far the end is proud of the panel; negative where the panel is.

    Attributes
    ----------
    when_made_len, dry_len, humid_len : int
        When made, in the dry and in the humid season [1/8 µm].
    """

    when_made_len: Annotated[int, Figure("End stands proud when made")]
    dry_len: Annotated[int, Figure("End stands proud in the dry season")]
    humid_len: Annotated[int, Figure("End stands proud in the humid season")]


def reveal_of(end: BreadboardEnd, of: SeasonalMovement, *, end_len: int) -> Reveal:
    """Return half of what an end of this length is longer than the panel, when made and in each season.

    Lengths [1/8 µm].
    """
    long = end_len - end.width_len
    made, dry, humid = (
        half_up(Fraction(long - moved, 2))
        for moved in (0, of.dry_len(end.width_len), of.humid_len(end.width_len))
    )
    return Reveal(when_made_len=made, dry_len=dry, humid_len=humid)


def in_words(reveal: Reveal) -> tuple[str, ...]:
    """Return in words what stands proud at either edge in each season."""
    return tuple(
        f"{season}: {_stands(proud)}"
        for season, proud in (("dry season", reveal.dry_len), ("humid season", reveal.humid_len))
    )


def _stands(proud: int) -> str:
    if abs(proud) < SEEN:
        return "flush at both edges"
    what = "the end stands proud of the panel" if proud > 0 else "the panel stands proud of the end"
    return f"{what} by {both_units(abs(proud))} at either edge"
