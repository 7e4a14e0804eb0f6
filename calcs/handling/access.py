"""Way of a top through doors, round turns, into lifts and up to its feet.

Walls are taken as upright and turns as right-angled. How a top is steered in is not checked, nor the ends of
doors that open into the way.

References
----------
.. [1] J. E. Wetzel, "Rectangles in Rectangles", Mathematics Magazine 73 (2000), 204-211, after Carver.
.. [2] The ladder problem of calculus texts, with thickness.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import degrees, hypot, pi
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.handling.access_inputs import Cabin, Turn, WayIn
from calcs.handling.corners import longest_round, narrowest
from calcs.handling.lifting import CAUTION_SOURCE, CAUTIONS
from calcs.kit.rounding import places
from calcs.kit.units import both_units
from calcs.tables import PRACTICE

UPRIGHT = pi / 2
SOURCE = (
    "leaning in an opening: Wetzel, Rectangles in Rectangles, Mathematics Magazine 73 (2000), after Carver"
    " (condition read)",
    "round a corner: the ladder problem of calculus texts (read), with thickness",
)


@dataclass(frozen=True, kw_only=True)
class Passage:
    """One place on the way.

    Attributes
    ----------
    name : str
        Its name.
    fits : bool
        True where the top passes.
    spare_len : int
        Room left over; negative is missing [1/8 µm]. Of the width of an opening or cabin, of the top's length
        at a turn, of the height of a ceiling.
    lean_deg : Decimal
        Lean from upright of the side that is up, to 0.1 [°].
    how : str
        How it is held there.
    """

    name: Annotated[str, Figure("Name")]
    fits: Annotated[bool, Figure("Fits")]
    spare_len: Annotated[int, Figure("To spare")]
    lean_deg: Annotated[Decimal, Figure("Leaned by")]
    how: Annotated[str, Figure("How")]


@dataclass(frozen=True, kw_only=True)
class Access:
    """Way of a top, place by place.

    Attributes
    ----------
    goes : bool
        True where it passes every place.
    passages : tuple of Passage
        Places in the order asked; standing on end last.
    wrapped_length_len, wrapped_width_len, wrapped_thickness_len : int
        Size with the wrapping [1/8 µm].
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    goes: Annotated[bool, Figure("Goes through")]
    passages: Annotated[tuple[Passage, ...], Figure("Place by place")]
    wrapped_length_len: Annotated[int, Figure("Length, wrapped")]
    wrapped_width_len: Annotated[int, Figure("Width, wrapped")]
    wrapped_thickness_len: Annotated[int, Figure("Thickness, wrapped")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


@dataclass(frozen=True)
class _Slab:
    """Wrapped top, long side first, and the room it needs around it [1/8 µm]."""

    long: int
    wide: int
    thick: int
    hands: int
    raised: int


def access(way: WayIn) -> Access:
    """Return whether a wrapped top passes each place on its way, on edge, leaning where it must.

    Parameters
    ----------
    way : WayIn
        Size of the top and of each place [1/8 µm].

    Returns
    -------
    Access
        A "no" gives the length that is missing. Standing on end is listed, but not needed to go.

    Notes
    -----
    An opening is passed where the narrowest opening of its height for width x thickness, and room for hands,
    is no wider. A turn is passed where the longest rectangle round it is as long as the top.
    In a lift the top is upright, tilted and then turned across the floor; leaning over as well may gain a
    little more. It stands on edge under a ceiling of sqrt(width² + thickness²).

    References
    ----------
    .. [1] J. E. Wetzel, "Rectangles in Rectangles", Mathematics Magazine 73 (2000), 204-211, after Carver.
    .. [2] The ladder problem of calculus texts, with thickness.
    .. [3] Wrapping, hands and height carried: common practice, no source.
    """
    around = 2 * way.wrapping_len
    long, wide = max(way.length_len, way.width_len), min(way.length_len, way.width_len)
    slab = _Slab(long + around, wide + around, way.thickness_len + around, way.hands_len, way.raised_len)
    needed = tuple(_passages(way, slab))
    told = (*needed, *_on_end(way, slab))
    return Access(
        goes=all(each.fits for each in needed),
        passages=told,
        wrapped_length_len=slab.long,
        wrapped_width_len=slab.wide,
        wrapped_thickness_len=slab.thick,
        warnings=tuple(
            f"{each.name}: no, short by {both_units(-each.spare_len)}" for each in needed if not each.fits
        ),
        notes=(
            "measure in the clear: stops, handles, rails and lamps count",
            f"with {both_units(way.wrapping_len)} of wrapping on every side, {both_units(way.hands_len)} for"
            f" hands on each face, {both_units(way.raised_len)} above the floor",
            "a rising stair takes headroom: measure at right angles to the flight",
        ),
        cautions=CAUTIONS,
        source=(*SOURCE, CAUTION_SOURCE, f"wrapping, hands and height carried: {PRACTICE}"),
    )


def _passages(way: WayIn, slab: _Slab) -> Iterator[Passage]:
    """Yield the places that the top must pass, in the order asked."""
    for door in way.doors:
        yield _opening(door.name, door.width_len, door.height_len, slab)
    for turn in way.turns:
        yield _turn(turn, slab)
    for cabin in way.lifts:
        yield _opening(f"{cabin.name}, its door", cabin.door_width_len, cabin.door_height_len, slab)
        yield _cabin(cabin, slab)
    if way.ceiling_len is not None:
        yield _passage("stood on edge", way.ceiling_len - hypot(slab.wide, slab.thick), 0.0, "from flat")


def _on_end(way: WayIn, slab: _Slab) -> Iterator[Passage]:
    """Yield the standing up on end, which is not needed to go."""
    if way.ceiling_len is not None:
        spare = way.ceiling_len - hypot(slab.long, slab.thick)
        yield _passage("stood on end", spare, 0.0, "from flat; not needed to go")


def _opening(name: str, width: int, height: int, slab: _Slab) -> Passage:
    """Return how the top passes an opening: on edge, leaning, or not at all.

    Notes
    -----
    Height in the clear is less by what the top is carried above the floor. Spare = width - narrowest opening
    for width x thickness of the top - room for hands on both faces.
    """
    clear = height - slab.raised
    need = narrowest(slab.wide, slab.thick, clear)
    if need is None:
        return _passage(name, clear - min(slab.wide, slab.thick), 0.0, "too low even lying flat")
    how = "on edge" if not need[1] else "leaning"
    return _passage(name, width - need[0] - 2 * slab.hands, need[1], how)


def _turn(turn: Turn, slab: _Slab) -> Passage:
    """Return the best way round a turn: on edge, with one end up, or leaning over under a low ceiling.

    Notes
    -----
    With one end up the top is as long as the narrowest opening for length x width, and as thick as it is.
    Leaning over it keeps its length and grows thicker. The way with most room is taken.
    """
    clear = turn.height_len - slab.raised
    ways: list[tuple[float, float, float, str]] = []
    over = narrowest(slab.wide, slab.thick, clear)
    if over is not None:
        ways.append((slab.long, over[0], over[1], "on edge" if not over[1] else "leaning over"))
    tilted = narrowest(slab.long, slab.wide, clear)
    if tilted is not None and tilted[0] < slab.long:
        ways.append((tilted[0], slab.thick, tilted[1], _tilt(tilted[1])))
    if not ways:
        return _passage(turn.name, clear - min(slab.wide, slab.thick), 0.0, "too low even lying flat")
    return max(
        (_round(turn, length, thick + 2 * slab.hands, lean, how) for length, thick, lean, how in ways),
        key=lambda passage: passage.spare_len,
    )


def _round(turn: Turn, length: float, thick: float, lean: float, how: str) -> Passage:
    """Return a turn for one way of holding the top, by the longest rectangle that goes round."""
    longest = longest_round(turn.into_len, turn.out_len, thick)
    if longest is None:
        return _passage(turn.name, min(turn.into_len, turn.out_len) - thick, lean, f"{how}: too thick")
    return _passage(turn.name, longest - length, lean, how)


def _cabin(cabin: Cabin, slab: _Slab) -> Passage:
    """Return how the top fits a lift: tilted until as high as the cabin, then turned across the floor.

    Notes
    -----
    Two steps of `narrowest`: length x width under the height of the cabin gives its length on the floor. That
    length x thickness within the depth gives the width it needs.
    """
    floor = narrowest(slab.long, slab.wide, cabin.height_len)
    if floor is None:
        return _passage(cabin.name, cabin.height_len - slab.wide, 0.0, "too low")
    across = narrowest(floor[0], slab.thick, cabin.depth_len)
    if across is None:
        return _passage(cabin.name, cabin.depth_len - slab.thick, 0.0, "not deep enough")
    how = _tilt(floor[1]) + (", across the floor" if 0 < across[1] < UPRIGHT else "")
    return _passage(cabin.name, cabin.width_len - across[0], floor[1], how)


def _tilt(lean: float) -> str:
    """Return how the long side is held: on end, on edge, or one end up."""
    if not lean:
        return "on end"
    return "on edge" if lean >= UPRIGHT else "one end up"


def _passage(name: str, spare: float, lean: float, how: str) -> Passage:
    """Return one place with its spare room to 1/8 µm and its lean in degrees."""
    left = round(spare)
    return Passage(
        name=name, fits=left >= 0, spare_len=left, lean_deg=places(Decimal(degrees(lean)), 1), how=how
    )
