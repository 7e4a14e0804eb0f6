"""Fixing of a top to its base so that the wood may move: slots for screws, buttons, or figure-eights.

Each fixing travels with the wood between it and the place held fast. Along the grain nothing moves that a
slot could show.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Many, Whole
from calcs.asking.figures import Figure
from calcs.kit.rounding import half_up, up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.tables import PRACTICE
from calcs.wood.seasonal_movement import SeasonalMovement, Seasons, Slot, seasonal_movement, slot

HOLD = inches("1/8")
"""Tongue of a button that stays in the groove in the driest season; common practice, no source."""
HOW = ("slots", "buttons", "figure-eights")
RAIL_END, APART = inches(2), inches(12)
"""Outermost fixing from the end of a rail, common practice, no source; largest distance between fixings."""
NARROW = inches(18)
"""Widest top for figure-eights, of limited swing: a woodworking magazine (2010)."""
APART_SOURCE = "fixings 8 to 12 in apart: a woodworking magazine, four ways to fasten tabletops (read)"
NARROW_SOURCE = (
    "figure-eights on tops up to about 18 in: a woodworking magazine, tabletop fasteners (2010, read)"
)
HOW_IN = {
    "slots": "slots run across the grain; screws with washers, snug, not hard",
    "buttons": "buttons point outward, across the grain; along an end rail the groove lets them slide",
    "figure-eights": "figure-eights lie along the grain, free to swing in recesses; screws snug, not hard",
}
_PLACE = Length("from the left edge", 0, inches(240))


@dataclass(frozen=True, kw_only=True)
class OnBase(Seasons):
    """Top on its base.

    Parameters
    ----------
    width_len : int
        Of the top, across the grain [1/8 µm].
    fixings_len : tuple of int
        Places of the fixings from the left edge [1/8 µm].
    fixed_len : int, optional
        Place held fast, from the left edge; the middle by default [1/8 µm].
    how : {"slots", "buttons", "figure-eights"}
        Buttons are screwed to the top inside the base and point outward; figure-eights swing.
    rails : int
        Rails with these fixings, all across the grain.
    screw_len, tolerance_len : int
        Diameter of the screw; play in all [1/8 µm].
    tongue_len, groove_len : int, optional
        Length of a button's tongue and depth of its groove, to be checked [1/8 µm].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where a fixing or the fixed place lies past the width.

    Notes
    -----
    Wood and seasons are those of `calcs.wood.seasonal_movement.Seasons`.
    """

    width_len: Annotated[int, Length("width of the top", inches(1), inches(240))]
    fixings_len: Annotated[tuple[int, ...], Many("fixings", _PLACE, 1, 100)]
    fixed_len: Annotated[int | None, Length("place held fast, from the left edge", 0, inches(240))] = None
    how: Annotated[str, Choice("how it is fixed", HOW)] = "slots"
    rails: Annotated[int, Whole("rails with these fixings", 1, 20)] = 1
    screw_len: Annotated[int, Length("diameter of the screw", inches("1/16"), inches(1))] = inches("3/16")
    tolerance_len: Annotated[int, Length("play in all", 0, inches("1/2"))] = inches("1/16")
    tongue_len: Annotated[int | None, Length("tongue of the button", inches("1/8"), inches(2))] = None
    groove_len: Annotated[int | None, Length("depth of the groove", inches("1/8"), inches(2))] = None

    def __post_init__(self) -> None:
        super().__post_init__()
        places = [("fixed", self.fixed_len or 0)]
        places += [(f"fixings[{n}]", at) for n, at in enumerate(self.fixings_len, start=1)]
        for field, at in places:
            if at > self.width_len:
                allowed = f"at most {both_units(self.width_len)}, the width"
                raise out_of_range(field, both_units(at), allowed)


@dataclass(frozen=True, kw_only=True)
class Button:
    """Clearances of a button; lengths in 1/8 µm.

    Attributes
    ----------
    gap_len : int
        Between its shoulder and the base when made.
    tongue_len : int
        Least length of the tongue.
    groove_len : int
        Least depth of the groove for that tongue or the one given.
    """

    gap_len: Annotated[int, Figure("Gap")]
    tongue_len: Annotated[int, Figure("Length of the tongue")]
    groove_len: Annotated[int, Figure("Depth of the groove")]


@dataclass(frozen=True, kw_only=True)
class Fixing:
    """One fixing; lengths in 1/8 µm.

    Attributes
    ----------
    at_len, from_fixed_len : int
        From the left edge, and from the place held fast.
    dry_len, humid_len, travel_len : int
        Movement outward in each season, and travel in all.
    slot : Slot or None
        Its slot, where screws are in slots.
    button : Button or None
        Its button, where buttons are in a groove.
    """

    at_len: Annotated[int, Figure("Where, from the left end")]
    from_fixed_len: Annotated[int, Figure("From the fixed one")]
    dry_len: Annotated[int, Figure("In the dry season")]
    humid_len: Annotated[int, Figure("In the humid season")]
    travel_len: Annotated[int, Figure("Moves")]
    slot: Slot | None
    button: Button | None


@dataclass(frozen=True, kw_only=True)
class Attachment:
    """Fixings as asked.

    Attributes
    ----------
    fixed_len : int
        Place held fast, from the left edge [1/8 µm].
    count : int
        Fixings on all rails.
    fixings : tuple of Fixing
        Of one rail, in the order asked.
    most_len : int
        Longest travel among them [1/8 µm].
    seasons : SeasonalMovement
        Movement of the wood.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    count: Annotated[int, Figure("Fixings in all")]
    fixed_len: Annotated[int, Figure("Held fast at, from the left edge")]
    fixings: Annotated[tuple[Fixing, ...], Figure("Fixing by fixing")]
    most_len: Annotated[int, Figure("Greatest movement")]
    seasons: SeasonalMovement
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def attachment(top: OnBase) -> Attachment:
    """Return travel, and slot or clearance, of every fixing in both seasons.

    Parameters
    ----------
    top : OnBase
        Width and fixings [1/8 µm], wood and seasons [%, °C].

    Returns
    -------
    Attachment
        Movements are outward from the place held fast, and from the day it is made.

    Raises
    ------
    OutOfRange
        If a tongue or groove given is too short.

    Notes
    -----
    Travel = distance from the fixed place x coefficient x (range of moisture, the day it is made included).
    A finished top lags behind the air: full travel is the safe figure.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
    .. [2] Screw, play and tongue held: common practice, no source.

    Examples
    --------
    18 in from the middle, walnut flatsawn: 18 x 0.00274 x 4 = 0.197 in.

    >>> from decimal import Decimal
    >>> top = OnBase(species="walnut", width_len=inches(40), fixings_len=(inches(2),), mc_made_pct=Decimal(7),
    ...              mc_dry_pct=Decimal(7), mc_humid_pct=Decimal(11))
    >>> both_units(attachment(top).most_len)
    '≈ 13/64" (≈ 5 mm)'
    """
    of = seasonal_movement(top)
    fixed = half_up(Fraction(top.width_len, 2)) if top.fixed_len is None else top.fixed_len
    fixings = tuple(_fixing(top, of, at, fixed, n) for n, at in enumerate(top.fixings_len, start=1))
    return Attachment(
        count=top.rails * len(fixings),
        fixed_len=fixed,
        fixings=fixings,
        most_len=max(each.travel_len for each in fixings),
        seasons=of,
        warnings=_warnings(top),
        notes=(*_notes(top), *of.notes),
        source=(
            *of.source,
            *((NARROW_SOURCE,) if top.how == "figure-eights" else ()),
            f"screw, play, {both_units(HOLD)} of tongue held: {PRACTICE}",
        ),
    )


def places_on_rail(*, width_len: int, rail_len: int) -> tuple[int, ...]:
    """Return the usual places of the fixings on a rail in the middle of a top, from its left edge [1/8 µm].

    Notes
    -----
    From 2 in inside the ends of the rail, at most 12 in apart, an odd number: the middle one is held fast.
    """
    between = min(width_len, rail_len) - 2 * RAIL_END
    if between <= 0:
        return (half_up(Fraction(width_len, 2)),)
    gaps = 2 * up(Fraction(between, 2 * APART))
    first = Fraction(width_len - between, 2)
    return tuple(half_up(first + Fraction(between * n, gaps)) for n in range(gaps + 1))


def _warnings(top: OnBase) -> tuple[str, ...]:
    """Return the warning on figure-eights under a wide top."""
    if top.how != "figure-eights" or top.width_len <= NARROW:
        return ()
    return (
        f"figure-eights swing too little for a top {both_units(top.width_len)} wide: slots or buttons over"
        f" {both_units(NARROW)}",
    )


def _fixing(top: OnBase, of: SeasonalMovement, at: int, fixed: int, number: int) -> Fixing:
    """Return one fixing with its travel, and its slot or button."""
    away = abs(at - fixed)
    return Fixing(
        at_len=at,
        from_fixed_len=away,
        dry_len=of.dry_len(away),
        humid_len=of.humid_len(away),
        travel_len=of.travel_len(away),
        slot=slot(of, from_fixed_len=away, across_len=top.screw_len, tolerance_len=top.tolerance_len)
        if top.how == "slots"
        else None,
        button=_button(top, of, away, number) if top.how == "buttons" else None,
    )


def _button(top: OnBase, of: SeasonalMovement, away: int, number: int) -> Button:
    """Return the clearances of a button.

    Notes
    -----
    Gap = outward movement + play / 2. Least tongue = gap + inward movement + 1/8 in held. Least groove =
    tongue - gap + outward movement + play / 2.
    """
    gap = of.out_len(away) + half_up(Fraction(top.tolerance_len, 2))
    least = gap + of.in_len(away) + HOLD
    tongue = least if top.tongue_len is None else top.tongue_len
    deep = tongue - gap + of.out_len(away) + half_up(Fraction(top.tolerance_len, 2))
    _enough("tongue", top.tongue_len, least, number)
    _enough("groove", top.groove_len, deep, number)
    return Button(gap_len=gap, tongue_len=least, groove_len=deep)


def _enough(field: str, told: int | None, least: int, number: int) -> None:
    """Refuse a tongue or groove shorter than the least at a fixing."""
    if told is None or told >= least:
        return
    allowed = f"at least {both_units(least)} at fixing {number}"
    raise out_of_range(field, both_units(told), allowed)


def _notes(top: OnBase) -> tuple[str, ...]:
    """Return notes on how the fixings go in."""
    return (HOW_IN[top.how], "full travel of the year: a finished top moves less")
