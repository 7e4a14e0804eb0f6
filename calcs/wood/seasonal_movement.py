"""Movement across the grain between two seasons, counted from the day the wood was worked.

A top is made at one moisture content and then lives through a dry and a humid season. What holds it must let
it move both ways. This module gives the movement of each season, and the slot that a bolt, screw or peg
needs.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, 13-3, table 13-5.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Number, Percent, Temperature, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.errors import Unreadable
from calcs.kit.rounding import half_up
from calcs.kit.typed import out_of_range
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, equilibrium_moisture
from calcs.wood.indoors import DRY_RH_PCT, HUMID_RH_PCT, INDOORS_SOURCE, ROOM_C
from calcs.wood.movement import CUT, MC_LEAST, MC_MOST, WIDE, change, coefficient_of, is_wide, rules
from calcs.wood.season_change import DRIEST, WETTEST

OWN = "your own value"


@dataclass(frozen=True, kw_only=True)
class Seasons:
    """Wood of a top and the two seasons it will live through; base class of what has to let it move.

    Parameters
    ----------
    species : str, optional
        Name or shop name; may be left out where ``coefficient`` is given.
    cut : {"flatsawn", "quartersawn", "rift", "mixed"}
        Mixed and rift stock counts as flatsawn.
    coefficient : Decimal, optional
        Your own dimensional change coefficient [fraction of size per % moisture].
    mc_made_pct : Decimal
        Moisture content when made, 0 to 30 [%]; 7 by default.
    temp_c, rh_low_pct, rh_high_pct : Decimal
        Room [°C], driest and most humid air of the year [%]; by default those of `calcs.wood.indoors`.
    mc_dry_pct, mc_humid_pct : Decimal, optional
        Moisture contents of the two seasons, 0 to 30 [%]; they replace the air.

    Raises
    ------
    Unreadable
        If neither species nor coefficient is given, or one moisture content without the other.
    OutOfRange, Unknown
        Naming the field, its value and what is allowed.
    """

    species: Annotated[str | None, Wood("species")] = None
    cut: Annotated[str, CUT] = "flatsawn"
    coefficient: Annotated[
        Decimal | None,
        Number("your own change per % of moisture, as a fraction", "0.0001", "0.01"),
        Figure("Coefficient, per % moisture"),
    ] = None
    mc_made_pct: Annotated[
        Decimal, Percent("moisture content when made", MC_LEAST, MC_MOST), Figure("Moisture when made")
    ] = Decimal(7)
    temp_c: Annotated[Decimal, Temperature("room", "-1.2", "60"), Figure("Temperature")] = ROOM_C
    rh_low_pct: Annotated[Decimal, DRIEST] = DRY_RH_PCT
    rh_high_pct: Annotated[Decimal, WETTEST] = HUMID_RH_PCT
    mc_dry_pct: Annotated[
        Decimal | None,
        Percent("moisture in the dry season", MC_LEAST, MC_MOST),
        Figure("Moisture, dry season"),
    ] = None
    mc_humid_pct: Annotated[
        Decimal | None,
        Percent("moisture in the humid season", MC_LEAST, MC_MOST),
        Figure("Moisture, humid season"),
    ] = None

    def __post_init__(self) -> None:
        check(self)
        if self.species is None and self.coefficient is None:
            raise _missing("species", "a species of the table, or your own coefficient")
        if (self.mc_dry_pct is None) != (self.mc_humid_pct is None):
            blank = "mc_dry_pct" if self.mc_dry_pct is None else "mc_humid_pct"
            raise _missing(blank, "both moisture contents, or neither")
        for low, high in (("rh_low_pct", "rh_high_pct"), ("mc_dry_pct", "mc_humid_pct")):
            least, most = getattr(self, low), getattr(self, high)
            if least is not None and least > most:
                raise out_of_range(high, most, f"at least {least} %, the {low}")


@dataclass(frozen=True, kw_only=True)
class SeasonalMovement:
    """Movement of the wood over a year, with the change of any size as methods.

    Attributes
    ----------
    coefficient : Decimal
        Dimensional change coefficient [fraction of size per % moisture].
    mc_made_pct, mc_dry_pct, mc_humid_pct : Decimal
        Moisture content when made, in the dry and in the humid season [%].
    source : tuple of str
        Sources of coefficient, relations and moisture contents.

    Notes
    -----
    The dry season need not be drier than the day the wood was worked; then both changes have one sign.
    """

    coefficient: Annotated[Decimal, Figure("Coefficient, per % moisture")]
    mc_made_pct: Annotated[Decimal, Figure("Moisture when made")]
    mc_dry_pct: Annotated[Decimal, Figure("Moisture, dry season")]
    mc_humid_pct: Annotated[Decimal, Figure("Moisture, humid season")]
    source: tuple[str, ...]

    @property
    def notes(self) -> tuple[str, ...]:
        """Return the limits of the changes: a relation that is only approximate."""
        return (WIDE,) if is_wide(self.mc_made_pct, self.mc_dry_pct, self.mc_humid_pct) else ()

    def dry_len(self, size_len: int) -> int:
        """Return the change of a size from its making to the dry season [1/8 µm]; negative shrinks."""
        return self._change(size_len, self.mc_made_pct, self.mc_dry_pct)

    def humid_len(self, size_len: int) -> int:
        """Return the change of a size from its making to the humid season [1/8 µm]; negative shrinks."""
        return self._change(size_len, self.mc_made_pct, self.mc_humid_pct)

    def out_len(self, size_len: int) -> int:
        """Return how far the end of a size moves outward of where it was made, zero or more [1/8 µm]."""
        return max(0, self.dry_len(size_len), self.humid_len(size_len))

    def in_len(self, size_len: int) -> int:
        """Return how far the end of a size moves inward of where it was made, zero or more [1/8 µm]."""
        return -min(0, self.dry_len(size_len), self.humid_len(size_len))

    def travel_len(self, size_len: int) -> int:
        """Return the whole travel of the end of a size: outward plus inward movement [1/8 µm]."""
        return self.out_len(size_len) + self.in_len(size_len)

    def _change(self, size_len: int, mc_from: Decimal, mc_to: Decimal) -> int:
        """Return the change of a size between two moisture contents [1/8 µm], by eq. 13-2 or 13-3."""
        return change(size_len=size_len, coefficient=self.coefficient, mc_from=mc_from, mc_to=mc_to)


@dataclass(frozen=True, kw_only=True)
class Slot:
    """Slot that lets a bolt, screw or peg travel; all lengths in 1/8 µm.

    Attributes
    ----------
    from_fixed_len : int
        Distance of the slot from the fixed point.
    dry_len, humid_len : int
        Outward movement of the wood there in each season; negative is inward.
    travel_len : int
        Whole travel of the wood there.
    slot_len : int
        Length of the slot, ends included.
    inner_len : int
        From the inner end of the slot to the middle of the bolt on the day it is made.
    """

    from_fixed_len: Annotated[int, Figure("From the fixed one", hidden=True)]
    dry_len: Annotated[int, Figure("In the dry season", hidden=True)]
    humid_len: Annotated[int, Figure("In the humid season", hidden=True)]
    travel_len: Annotated[int, Figure("Moves", hidden=True)]
    slot_len: Annotated[int, Figure("Slot")]
    inner_len: Annotated[int, Figure("Bolt from the slot's inner end")]


def seasonal_movement(asked: Seasons) -> SeasonalMovement:
    """Return the coefficient and the moisture contents of both seasons.

    Parameters
    ----------
    asked : Seasons
        Wood, moisture content when made, and airs or moisture contents of the seasons.

    Returns
    -------
    SeasonalMovement

    Raises
    ------
    Unknown
        If the species is not in the table.

    Notes
    -----
    Finished wood lags behind the air and moves less. The full movement is the safe figure for slots.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, 13-3, table
       13-5.
    """
    coefficient, source = _coefficient(asked)
    dry, humid = (
        equilibrium_moisture(Air(temp_c=asked.temp_c, rh_pct=rh)) if told is None else told
        for rh, told in ((asked.rh_low_pct, asked.mc_dry_pct), (asked.rh_high_pct, asked.mc_humid_pct))
    )
    usual = (asked.rh_low_pct, asked.rh_high_pct) == (DRY_RH_PCT, HUMID_RH_PCT)
    by_air = (EMC_SOURCE, *((INDOORS_SOURCE,) if usual else ())) if asked.mc_dry_pct is None else ()
    return SeasonalMovement(
        coefficient=coefficient,
        mc_made_pct=asked.mc_made_pct,
        mc_dry_pct=dry,
        mc_humid_pct=humid,
        source=(source, *rules(asked.mc_made_pct, dry, humid), *by_air),
    )


def slot(
    of: SeasonalMovement, *, from_fixed_len: int, across_len: int, tolerance_len: int, in_wood: bool = False
) -> Slot:
    """Return the slot at a distance from the fixed point.

    Parameters
    ----------
    of : SeasonalMovement
        Movement of the wood over the year.
    from_fixed_len, across_len, tolerance_len : int
        Distance from the fixed point, diameter of the bolt, play in all [1/8 µm].
    in_wood : bool
        True where the slot is in the wood that moves and the bolt stays put, as with a breadboard's pegs.

    Returns
    -------
    Slot
        Lengths [1/8 µm].

    Notes
    -----
    Slot = travel + diameter + play. On the day it is made the bolt stands at inward movement + (diameter +
    play)/2 from the inner end. Where the slot itself moves, outward movement takes the place of inward
    movement.
    """
    inward = of.out_len(from_fixed_len) if in_wood else of.in_len(from_fixed_len)
    travel = of.travel_len(from_fixed_len)
    return Slot(
        from_fixed_len=from_fixed_len,
        dry_len=of.dry_len(from_fixed_len),
        humid_len=of.humid_len(from_fixed_len),
        travel_len=travel,
        slot_len=travel + across_len + tolerance_len,
        inner_len=inward + half_up(Fraction(across_len + tolerance_len, 2)),
    )


def _coefficient(asked: Seasons) -> tuple[Decimal, str]:
    """Return the dimensional change coefficient and its source: your own, else that of the species by its
    cut.
    """
    if asked.coefficient is not None:
        return asked.coefficient, f"coefficient {asked.coefficient}: {OWN}"
    return coefficient_of(asked.species or "", asked.cut)


def _missing(field: str, allowed: str) -> Unreadable:
    """Return the refusal of inputs where one is missing."""
    return Unreadable(f"{field} is needed: {allowed}", field=field, value=None, allowed=allowed)
