"""Breadboard end: tongue, pegs and their slots, and the reveal of each season.

The panel moves across its grain from its middle; the end, along its grain, does not. Only the middle few
inches are glued, pegs in slots hold the rest.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
.. [2] M. Pekovich, "Designing traditional breadboard ends", questions and answers of a woodworking magazine.
.. [3] "Preparing the top for the breadboard ends", a book on Shaker furniture.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import half_up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.ends import LEAST_WALL, usual_tongue_deep
from calcs.structure.breadboard_inputs import FLUSH, BreadboardEnd
from calcs.structure.breadboard_parts import Peg, Reveal, in_words, pegs_of, reveal_of
from calcs.tables import PRACTICE
from calcs.wood.seasonal_movement import SeasonalMovement, seasonal_movement

WALL = LEAST_WALL
"""Wood left beyond the mortise, and beyond the outermost slot of the tongue; common practice, no source."""
SHOULDER = inches(1)
GLUED = inches(6)
"""Pekovich: glue only the centre 6 in or so."""
DEEPER = inches("1/16")
"""Room for glue and dust below a tongue; common practice, no source."""
GLUE_SOURCE = (
    'glue only in the middle 6 in or so: M. Pekovich, "Designing traditional breadboard ends", questions and'
    " answers of a woodworking magazine (read); a book on Shaker furniture glues 1 in either side of the"
    " middle (read)"
)
THIRD_SOURCE = "tongue a third of the thickness: a book on Shaker furniture (read)"


@dataclass(frozen=True, kw_only=True)
class Breadboard:
    """Size of the end, tongue, mortise, pegs and reveal; lengths in 1/8 µm, places from the left edge of the
    panel when made.

    Attributes
    ----------
    end_len, end_wide_len, end_thick_len : int, int, int or None
        Size of the end piece.
    tongue_len, tongue_deep_len, tongue_thick_len : int, int, int or None
        Length of the tongue across the panel, how far it goes into the end, and its thickness; None where
        neither it nor the thickness of the panel is given.
    clearance_len, mortise_len, mortise_deep_len : int
        Free at either end of the tongue when made; length and depth of the mortise, which is as wide as the
        tongue is thick.
    glued_from_len, glued_to_len, held_len : int
        Stretch that is glued, and how much it would move over the year: the glue holds it back.
    peg_in_len, peg_len : int
        Middles of the pegs from the shoulder; their diameter, which is the width of the slots too.
    pegs : tuple of Peg
        Pegs from left to right.
    reveal : Reveal
        How far the end is proud of the panel.
    flush : str
        When the end is flush.
    year : tuple of str
        What stands proud at either edge in the dry and in the humid season, in words.
    seasons : SeasonalMovement
        Movement of the panel.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    end_len: Annotated[int, Figure("Length of the end")]
    end_wide_len: Annotated[int, Figure("Width of the end")]
    end_thick_len: Annotated[int | None, Figure("Thickness of the end")]
    tongue_len: Annotated[int, Figure("Length of the tongue")]
    tongue_deep_len: Annotated[int, Figure("Tongue goes into the end")]
    tongue_thick_len: Annotated[int | None, Figure("Thickness of the tongue")]
    clearance_len: Annotated[int, Figure("Free at either end of the tongue")]
    mortise_len: Annotated[int, Figure("Length of the mortise")]
    mortise_deep_len: Annotated[int, Figure("Depth of the mortise")]
    glued_from_len: Annotated[int, Figure("Glued from")]
    glued_to_len: Annotated[int, Figure("Glued to")]
    held_len: Annotated[int, Figure("Movement that the glue holds back")]
    peg_in_len: Annotated[int, Figure("Pegs from the shoulder")]
    peg_len: Annotated[int, Figure("Diameter of a peg, width of its slot")]
    pegs: Annotated[tuple[Peg, ...], Figure("Pegs")]
    reveal: Reveal
    flush: Annotated[str, Figure("Flush")]
    year: Annotated[tuple[str, ...], Figure("Over the year", sentence=True)]
    seasons: SeasonalMovement
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def breadboard(end: BreadboardEnd) -> Breadboard:
    """Return the size of end, tongue and mortise, a slot for every peg, and the reveal of either season.

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
        If the mortise would come through the end, or the outermost
        slot through the tongue.

    Notes
    -----
    Clearance = outward movement of half the tongue + play / 2. Reveal = (length of the end - width of the
    panel) / 2. The panel moves from its middle. The glued stretch is held and moves less, so that distances
    from the middle are the safe ones. Movement held = glued stretch x coefficient x range of moisture.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
    .. [2] M. Pekovich, "Designing traditional breadboard ends", questions and answers of a woodworking
       magazine: glue in the middle 6 in or so.
    .. [3] Shoulder, wall, pegs, play, tongue half as deep as the end is wide: common practice, no source.

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
    glued = _glued(end)
    deep = usual_tongue_deep(end.end_wide_len) if end.tongue_deep_len is None else end.tongue_deep_len
    reveal = reveal_of(end, of, end_len=_end(end, of))
    made = Breadboard(
        end_len=_end(end, of),
        end_wide_len=end.end_wide_len,
        end_thick_len=end.thickness_len,
        tongue_len=tongue,
        tongue_deep_len=deep,
        tongue_thick_len=_thick(end),
        clearance_len=clearance,
        mortise_len=tongue + 2 * clearance,
        mortise_deep_len=deep + DEEPER,
        glued_from_len=half_up(Fraction(end.width_len - glued, 2)),
        glued_to_len=half_up(Fraction(end.width_len + glued, 2)),
        held_len=of.travel_len(glued),
        peg_in_len=half_up(Fraction(deep, 2)),
        peg_len=end.peg_len,
        pegs=pegs_of(end, of),
        reveal=reveal,
        flush=end.flush,
        year=in_words(reveal),
        seasons=of,
        warnings=_warnings(end, of, glued),
        notes=(*_notes(end, glued), *of.notes),
        source=(
            *of.source,
            GLUE_SOURCE,
            *((THIRD_SOURCE,) if end.tongue_thick_len is None and end.thickness_len is not None else ()),
            f"1 in of shoulder, {both_units(WALL)} of wall, pegs, play, tongue half as deep as the end is"
            f" wide: {PRACTICE}",
        ),
    )
    _inside(end, made)
    return made


def _glued(end: BreadboardEnd) -> int:
    """Return the stretch that is glued [1/8 µm]: as asked, else 6 in or a third of a narrow panel."""
    return min(GLUED, end.width_len // 3) if end.glued_len is None else end.glued_len


def _thick(end: BreadboardEnd) -> int | None:
    """Return the thickness of the tongue [1/8 µm]: as asked, else a third of the panel's; None if unknown."""
    if end.tongue_thick_len is not None or end.thickness_len is None:
        return end.tongue_thick_len
    return half_up(Fraction(end.thickness_len, 3))


def _end(end: BreadboardEnd, of: SeasonalMovement) -> int:
    """Return the length of the end piece: the width of the panel when it is to be flush [1/8 µm].

    Parameters
    ----------
    end : BreadboardEnd
        Width of the panel when made, and when the end is to be flush.
    of : SeasonalMovement
        Movement of the panel over the year.

    Notes
    -----
    Between the seasons: the mean of the widths in the dry and in the humid season.
    """
    dry, humid = of.dry_len(end.width_len), of.humid_len(end.width_len)
    moved = (0, dry, humid, half_up(Fraction(dry + humid, 2)))[FLUSH.index(end.flush)]
    return end.width_len + moved


def _tongue(end: BreadboardEnd, of: SeasonalMovement) -> int:
    """Return the usual length of the tongue across the panel [1/8 µm].

    Notes
    -----
    1 in less than the panel at either edge, and no more than length of the end - 2 (wall + outward movement
    of half the panel + play), so that the mortise stays inside the end.
    """
    room = WALL + of.out_len(half_up(Fraction(end.width_len, 2))) + end.tolerance_len
    return min(end.width_len - 2 * SHOULDER, _end(end, of) - 2 * room)


def _inside(end: BreadboardEnd, made: Breadboard) -> None:
    """Refuse a mortise that comes through the end, and slots that come through the tongue or each other.

    Parameters
    ----------
    end : BreadboardEnd
        Panel and end as asked.
    made : Breadboard
        Tongue, mortise and pegs as computed.

    Raises
    ------
    OutOfRange
        Naming the tongue, the outermost pegs or the number of pegs.
    """
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


def _warnings(end: BreadboardEnd, of: SeasonalMovement, glued: int) -> tuple[str, ...]:
    """Return the warning on a long stretch of glue across the grain, and on a tongue that is thin.

    Parameters
    ----------
    glued : int
        Stretch that is glued [1/8 µm].

    Notes
    -----
    Glue over more than 6 in, and a tongue of less than a quarter of the thickness, are warned of.
    """
    found = []
    if glued > GLUED:
        found.append(
            f"{both_units(glued)} of glue across the grain holds back {both_units(of.travel_len(glued))} of"
            f" movement and may split the top: glue {both_units(GLUED)} or less"
        )
    thick = _thick(end)
    if thick is not None and end.thickness_len is not None and 4 * thick < end.thickness_len:
        found.append(f"tongue {both_units(thick)} thick: less than a quarter of the panel breaks easily")
    return tuple(found)


def _notes(end: BreadboardEnd, glued: int) -> tuple[str, ...]:
    """Return notes on gluing, length and slots."""
    return (
        f"glue the middle {both_units(glued)} only; the pegs hold the rest",
        f"cut to length so that it is flush {end.flush}",
        "slots run across the panel, in the tongue; the holes in the end are round",
        "full swing of the year: a finished top lags behind the air",
    )
