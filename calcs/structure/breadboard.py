"""Breadboard end: tongue, pegs and their slots, and the reveal of each season.

The panel moves across its grain from its middle; the end, along its grain, does not. Only the middle third is
glued, pegs in slots hold the rest.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import half_up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.structure.breadboard_inputs import FLUSH, BreadboardEnd
from calcs.tables import PRACTICE
from calcs.wood.seasonal_movement import SeasonalMovement, Slot, seasonal_movement, slot

WALL = inches("1/2")
"""Wood left beyond the mortise, and beyond the outermost slot of the tongue; common practice, no source."""
SHOULDER = inches(1)


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


@dataclass(frozen=True, kw_only=True)
class Breadboard:
    """Tongue, mortise, pegs and reveal; places from the left edge of the panel when made [1/8 µm].

    Attributes
    ----------
    end_len : int
        Length of the end piece.
    tongue_len, clearance_len, mortise_len : int
        Tongue, its clearance at either end when made, and mortise.
    glued_from_len, glued_to_len : int
        Stretch that is glued.
    pegs : tuple of Peg
        Pegs from left to right.
    reveal : Reveal
        How far the end is proud of the panel.
    flush : str
        When the end is flush.
    seasons : SeasonalMovement
        Movement of the panel.
    notes, source : tuple of str
        Notes and sources.
    """

    end_len: Annotated[int, Figure("Length of the end")]
    tongue_len: Annotated[int, Figure("Length of the tongue")]
    clearance_len: Annotated[int, Figure("Free at either end of the tongue")]
    mortise_len: Annotated[int, Figure("Length of the mortise")]
    glued_from_len: Annotated[int, Figure("Glued from")]
    glued_to_len: Annotated[int, Figure("Glued to")]
    pegs: Annotated[tuple[Peg, ...], Figure("Pegs")]
    reveal: Reveal
    flush: Annotated[str, Figure("Flush")]
    seasons: SeasonalMovement
    notes: tuple[str, ...]
    source: tuple[str, ...]


def breadboard(end: BreadboardEnd) -> Breadboard:
    """Return the clearance of the tongue, a slot for every peg, and the reveal of either season.

    Parameters
    ----------
    end : BreadboardEnd
        Width, tongue and pegs [1/8 µm], wood and seasons [%, °C].

    Returns
    -------
    Breadboard
        ``clearance_len`` at either end of the tongue when made.

    Raises
    ------
    OutOfRange
        If an air brings wood outside 6 to 14 %; if the mortise would come through the end, or the outermost
        slot through the tongue.

    Notes
    -----
    Clearance = outward movement of half the tongue + play / 2. Reveal = (length of the end - width of the
    panel) / 2. The panel moves from its middle. The glued middle third is held and moves less, so that
    distances from the middle are the safe ones.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
    .. [2] Middle third glued, shoulder, wall, pegs, play: common practice, no source.

    Examples
    --------
    Walnut 40 in wide from 7 to 11 % grows 40 x 0.00274 x 4 = 0.438 in: 7/32 in at either edge.

    >>> from decimal import Decimal
    >>> end = BreadboardEnd(species="walnut", width_len=inches(40), mc_made_pct=Decimal(7),
    ...                     mc_dry_pct=Decimal(7), mc_humid_pct=Decimal(11))
    >>> both_units(breadboard(end).reveal.humid_len)
    '≈ -7/32" (≈ -5.6 mm)'
    """
    of = seasonal_movement(end)
    tongue = _tongue(end, of) if end.tongue_len is None else end.tongue_len
    half = half_up(Fraction(tongue, 2))
    clearance = of.out_len(half) + half_up(Fraction(end.tolerance_len, 2))
    made = Breadboard(
        end_len=_end(end, of),
        tongue_len=tongue,
        clearance_len=clearance,
        mortise_len=tongue + 2 * clearance,
        glued_from_len=half_up(Fraction(end.width_len, 3)),
        glued_to_len=half_up(Fraction(2 * end.width_len, 3)),
        pegs=tuple(_peg(end, of, at) for at in _places(end)),
        reveal=_reveal(end, of),
        flush=end.flush,
        seasons=of,
        notes=_notes(end),
        source=(
            *of.source,
            f"middle third glued, 1 in of shoulder, {both_units(WALL)} of wall, pegs, play: {PRACTICE}",
        ),
    )
    _inside(end, made)
    return made


def _end(end: BreadboardEnd, of: SeasonalMovement) -> int:
    """Return the length of the end piece: the width of the panel when it is to be flush [1/8 µm]."""
    dry, humid = of.dry_len(end.width_len), of.humid_len(end.width_len)
    moved = (0, dry, humid, half_up(Fraction(dry + humid, 2)))[FLUSH.index(end.flush)]
    return end.width_len + moved


def _tongue(end: BreadboardEnd, of: SeasonalMovement) -> int:
    """Return the usual tongue [1/8 µm]: 1 in less at either edge, and short enough for the mortise."""
    room = WALL + of.out_len(half_up(Fraction(end.width_len, 2))) + end.tolerance_len
    return min(end.width_len - 2 * SHOULDER, _end(end, of) - 2 * room)


def _reveal(end: BreadboardEnd, of: SeasonalMovement) -> Reveal:
    """Return half of what the end is longer than the panel, when made and in each season [1/8 µm]."""
    long = _end(end, of) - end.width_len
    made, dry, humid = (
        half_up(Fraction(long - moved, 2))
        for moved in (0, of.dry_len(end.width_len), of.humid_len(end.width_len))
    )
    return Reveal(when_made_len=made, dry_len=dry, humid_len=humid)


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


def _inside(end: BreadboardEnd, made: Breadboard) -> None:
    """Refuse a mortise that comes through the end, and slots that come through the tongue or each other."""
    if made.mortise_len > made.end_len - 2 * WALL:
        most = made.end_len - 2 * WALL - 2 * made.clearance_len
        raise out_of_range("tongue", both_units(made.tongue_len), f"at most {both_units(most)}")
    if len(made.pegs) == 1:
        return
    outer = made.pegs[0].slot
    over = (
        outer.from_fixed_len - outer.inner_len + outer.slot_len + WALL - half_up(Fraction(made.tongue_len, 2))
    )
    if over > 0:
        allowed = f"at least {both_units(end.peg_edge_len + over)}"
        raise out_of_range("peg_edge", both_units(end.peg_edge_len), allowed)
    apart = made.pegs[1].at_len - made.pegs[0].at_len
    if apart < outer.slot_len + WALL:
        raise out_of_range("pegs", end.pegs, f"fewer: they would be {both_units(apart)} apart")


def _notes(end: BreadboardEnd) -> tuple[str, ...]:
    """Return notes on gluing, length and slots."""
    return (
        "glue the middle third only; the pegs hold the rest",
        f"cut to length so that it is flush {end.flush}",
        "slots run across the panel, in the tongue; the holes in the end are round",
        "full swing of the year: a finished top lags behind the air",
    )
