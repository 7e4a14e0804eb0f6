"""Pegs of a breadboard end and their slots in the tongue."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import half_up
from calcs.structure.breadboard_inputs import BreadboardEnd
from calcs.wood.seasonal_movement import SeasonalMovement, Slot, slot


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
