"""Steel channels let into the underside of a top, across the grain, to keep it flat.

Channels bend beside the wood and let it move: one bolt is fixed, the others slide in slots. Number, room and
depth follow common practice, no source.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 13-2, tables 5-1, 13-5.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.joints.recesses import Recess
from calcs.kit.errors import Unknown
from calcs.kit.rounding import places
from calcs.kit.units import UNITS_PER_MM, both_units, inches
from calcs.structure.across import STEEL_MPA, STEEL_SOURCE, Across, across_grain, channel_inertia
from calcs.structure.channel_fit import (
    SIDE_ROOM,
    ChannelBolt,
    bolts_of,
    channel_places,
    check_bolts,
    check_recesses,
    recess_of,
)
from calcs.structure.stiffening_inputs import Stiffeners
from calcs.tables import PRACTICE
from calcs.wood.seasonal_movement import OWN, SeasonalMovement, seasonal_movement

END_ROOM = inches("1/8")
"""More than the movement, at either end of a recess; common practice, no source."""
DEEPER_MIDDLE = inches("1/8")
WIDE_FROM, LONG_FROM = inches(30), inches(72)
_MARGIN = inches(4)


@dataclass(frozen=True, kw_only=True)
class Stiffening:
    """Channels, recesses, slots and inserts; lengths in 1/8 µm.

    Attributes
    ----------
    useful : bool
        True for a top wide or long enough that channels are usual.
    count : int
        Number of channels.
    places_len : tuple of int
        Middles of the channels from the finished end.
    channel_len : int
        Length of a channel.
    recess_length_len, recess_wide_len, recess_deep_len, recess_middle_len : int
        Size of a recess; deeper in the middle.
    season_len : int
        Travel of the wood over the length of a channel.
    recesses : tuple of Recess
        Recesses of the top, at their greatest depth.
    bolts : tuple of ChannelBolt
        Bolts of one channel.
    above_recess_len, above_insert_len : int
        Wood left above the recess, and above the inserts.
    stiffer : Decimal or None
        How many times as stiff across the grain the channels make the top, to 0.01; None where not known.
    across_mpa : Decimal or None
        The wood's modulus across the grain [MPa]; None where not known.
    seasons : SeasonalMovement
        Movement of the wood.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    useful: Annotated[bool, Figure("Useful", hidden=True)]
    count: Annotated[int, Figure("Channels")]
    places_len: Annotated[tuple[int, ...], Figure("Middles from the finished end")]
    channel_len: Annotated[int, Figure("Length of a channel")]
    recess_length_len: Annotated[int, Figure("Length of a recess")]
    recess_wide_len: Annotated[int, Figure("Width of a recess")]
    recess_deep_len: Annotated[int, Figure("Depth of a recess")]
    recess_middle_len: Annotated[int, Figure("Depth in its middle")]
    season_len: Annotated[int, Figure("The season moves a channel's length")]
    recesses: Annotated[tuple[Recess, ...], Figure("Recesses in the underside")]
    bolts: Annotated[tuple[ChannelBolt, ...], Figure("Bolts of a channel")]
    above_recess_len: Annotated[int, Figure("Wood above a recess")]
    above_insert_len: Annotated[int, Figure("Wood above an insert")]
    stiffer: Annotated[Decimal | None, Figure("Times as stiff across the grain")]
    across_mpa: Annotated[Decimal | None, Figure("Stiffness of the wood across the grain")]
    seasons: SeasonalMovement
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def stiffening(top: Stiffeners) -> Stiffening:
    """Return the places of the channels, their recesses and slots, and the wood above the inserts.

    Parameters
    ----------
    top : Stiffeners
        Size, channels, bolts and inserts [1/8 µm], wood and seasons [%, °C].

    Returns
    -------
    Stiffening

    Raises
    ------
    OutOfRange
        If a recess would come near the edge, or recesses near each
        other or the ends. If an insert would come through the face, or an outermost bolt lie past the middle.

    Notes
    -----
    Recess = channel + travel of the wood + 1/8 in at either end.
    Channel and wood bend side by side: the bolts slide, so nothing is gained by their working as one. The
    wood lost to the recess is not counted. Steel keeps a top flat more than it makes it stiff.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 13-2, tables 5-1, 13-5.
    .. [2] Number of channels, room and depth of recesses: common practice, no source.

    Examples
    --------
    96 in take three channels, one for each 3 ft begun. 42 in less 4 in at either edge are 34 in; of 1 3/4 in,
    5/8 in of recess and 1/2 in of insert leave 5/8 in.

    >>> from calcs.kit.units import inches
    >>> top = Stiffeners(species="walnut", width_len=inches(42), length_len=inches(96),
    ...                  thickness_len=inches("7/4"))
    >>> plan = stiffening(top)
    >>> plan.count, both_units(plan.channel_len), both_units(plan.above_insert_len)
    (3, '34" (863.6 mm)', '5/8" (≈ 15.9 mm)')
    """
    of = seasonal_movement(top)
    channel = top.width_len - 2 * _MARGIN if top.channel_len is None else top.channel_len
    season = of.travel_len(channel)
    at = channel_places(top)
    middle = top.channel_deep_len + DEEPER_MIDDLE
    recess = channel + season + 2 * END_ROOM
    above = top.thickness_len - middle
    bolts = bolts_of(top, of, channel)
    check_recesses(top, channel, recess, above)
    check_bolts(top, bolts)
    wood, why_not = _wood(top)
    return Stiffening(
        useful=top.width_len >= WIDE_FROM or top.length_len >= LONG_FROM,
        count=len(at),
        places_len=at,
        channel_len=channel,
        recess_length_len=recess,
        recess_wide_len=top.channel_wide_len + SIDE_ROOM,
        recess_deep_len=top.channel_deep_len,
        recess_middle_len=middle,
        season_len=season,
        recesses=tuple(recess_of(top, place, recess, middle) for place in at),
        bolts=bolts,
        above_recess_len=above,
        above_insert_len=above - top.insert_len,
        stiffer=None if wood is None else _stiffer(top, len(at), wood),
        across_mpa=None if wood is None else wood.elasticity_mpa,
        seasons=of,
        warnings=_warnings(top),
        notes=(*_notes(top), *why_not, *of.notes),
        source=_source(of, wood),
    )


def _wood(top: Stiffeners) -> tuple[Across | None, tuple[str, ...]]:
    """Return the stiffness across the grain: your own, else the table's; with a note where it is missing."""
    if top.across_mpa is not None:
        return Across(elasticity_mpa=top.across_mpa, source=(f"modulus across the grain: {OWN}",)), ()
    try:
        return across_grain(top.species or "", top.cut), ()
    except Unknown:
        return None, ("no stiffness across the grain in the tables for this wood: give your own to compare",)


def _stiffer(top: Stiffeners, count: int, wood: Across) -> Decimal:
    """Return how many times as stiff across the grain the channels make the top, to 0.01.

    Notes
    -----
    1 + n E_steel I_channel / (E_across L t³ / 12), with L the length and t the thickness of the top.
    """
    mm = [
        Fraction(each, UNITS_PER_MM)
        for each in (top.channel_wide_len, top.channel_deep_len, top.channel_wall_len)
    ]
    steel = count * STEEL_MPA * channel_inertia(wide=mm[0], deep=mm[1], web=mm[2], leg=mm[2])
    length, thick = Fraction(top.length_len, UNITS_PER_MM), Fraction(top.thickness_len, UNITS_PER_MM)
    return places(1 + steel / (Fraction(wood.elasticity_mpa) * length * thick**3 / 12), 2)


def _warnings(top: Stiffeners) -> tuple[str, ...]:
    """Return a warning for a top so small that channels are not usual."""
    if top.width_len < WIDE_FROM and top.length_len < LONG_FROM:
        return (
            f"usual from {both_units(WIDE_FROM)} wide or {both_units(LONG_FROM)} long; this top is smaller",
        )
    return ()


def _notes(top: Stiffeners) -> tuple[str, ...]:
    """Return notes on recesses, bolts, inserts and order of work."""
    return (
        f"recess {both_units(DEEPER_MIDDLE)} deeper in the middle, so that the channel lies flush",
        "middle bolt fixed, the others in slots along the channel; washers, snug, not hard",
        "inserts bonded; steel coated against tannin",
        "put in before the face is finished, and again after",
    )


def _source(of: SeasonalMovement, wood: Across | None) -> tuple[str, ...]:
    """Return the sources of movement, stiffness and practice."""
    return (
        *of.source,
        *(() if wood is None else (*wood.source, STEEL_SOURCE)),
        f"number, room in the recess, depth a third of the thickness, play, wood above an insert: {PRACTICE}",
    )
