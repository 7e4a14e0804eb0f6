"""How far wood moves across the grain between two seasons, from the day it was made."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Number, Percent, Temperature, Wood
from calcs.asking.inputs import check
from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.rounding import half_up
from calcs.kit.typed import out_of_range
from calcs.materials.species import species
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, equilibrium_moisture
from calcs.wood.movement import CUTS, MC_LEAST, MC_MOST, RULE, change

OWN = "your own value"


@dataclass(frozen=True, kw_only=True)
class Seasons:
    """The wood of a top and the two seasons it will live through; asked for by what has to let it move.

    Parameters
    ----------
    species : str, optional
        Name or shop name; may be left out where ``coefficient`` is told.
    cut : {"flatsawn", "quartersawn"}
        Mixed and rift stock counts as flatsawn.
    coefficient : Decimal, optional
        Your own change of size per % of moisture, as a fraction of the size.
    mc_made_pct : Decimal
        Moisture content when made [%], 6 to 14.
    temp_c, rh_low_pct, rh_high_pct : Decimal
        Room [°C], driest and most humid air of the year [%].
    mc_dry_pct, mc_humid_pct : Decimal, optional
        Moisture contents of the two seasons [%], in place of the air.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    species: Annotated[str | None, Wood("species")] = None
    cut: Annotated[str, Choice("cut", CUTS)] = "flatsawn"
    coefficient: Annotated[
        Decimal | None, Number("your own change per % of moisture, as a fraction", "0.0001", "0.01")
    ] = None
    mc_made_pct: Annotated[Decimal, Percent("moisture content when made", MC_LEAST, MC_MOST)] = Decimal(7)
    temp_c: Annotated[Decimal, Temperature("room", "-1.2", "60")] = Decimal(21)
    rh_low_pct: Annotated[Decimal, Percent("driest air of the year", "1", "95")] = Decimal(35)
    rh_high_pct: Annotated[Decimal, Percent("most humid air of the year", "1", "95")] = Decimal(55)
    mc_dry_pct: Annotated[Decimal | None, Percent("moisture in the dry season", MC_LEAST, MC_MOST)] = None
    mc_humid_pct: Annotated[Decimal | None, Percent("moisture in the humid season", MC_LEAST, MC_MOST)] = None

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
    """Movement of the wood: ``coefficient`` as a fraction per %, moisture contents [%]."""

    coefficient: Decimal
    mc_made_pct: Decimal
    mc_dry_pct: Decimal
    mc_humid_pct: Decimal
    source: tuple[str, ...]

    def dry_len(self, size_len: int) -> int:
        """Change of a size from the day it was made to the dry season [1/8 µm]; negative shrinks."""
        return self._change(size_len, self.mc_made_pct, self.mc_dry_pct)

    def humid_len(self, size_len: int) -> int:
        """Change of a size from the day it was made to the humid season [1/8 µm]."""
        return self._change(size_len, self.mc_made_pct, self.mc_humid_pct)

    def out_len(self, size_len: int) -> int:
        """How far the end of a size goes outward of where it was made, zero or more [1/8 µm]."""
        return max(0, self.dry_len(size_len), self.humid_len(size_len))

    def in_len(self, size_len: int) -> int:
        """How far the end of a size goes inward of where it was made, zero or more [1/8 µm]."""
        return -min(0, self.dry_len(size_len), self.humid_len(size_len))

    def travel_len(self, size_len: int) -> int:
        """All the way the end of a size goes: both seasons and the day it was made [1/8 µm]."""
        return self.out_len(size_len) + self.in_len(size_len)

    def _change(self, size_len: int, mc_from: Decimal, mc_to: Decimal) -> int:
        return change(size_len=size_len, coefficient=self.coefficient, mc_from=mc_from, mc_to=mc_to)


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A slot that lets a bolt, screw or peg travel; lengths [1/8 µm].

    ``from_fixed_len`` is its distance from the fixed point; ``dry_len`` and ``humid_len`` how far the wood
    there has moved outward in each season; ``inner_len`` from the inner end of the slot to the middle of the
    bolt on the day it is made.
    """

    from_fixed_len: int
    dry_len: int
    humid_len: int
    travel_len: int
    slot_len: int
    inner_len: int


def seasonal_movement(asked: Seasons) -> SeasonalMovement:
    """The moisture contents of both seasons and the coefficient.

    Raises
    ------
    OutOfRange
        If an air brings wood outside 6 to 14 %, where the coefficients do not hold.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
    """
    coefficient, source = _coefficient(asked)
    return SeasonalMovement(
        coefficient=coefficient,
        mc_made_pct=asked.mc_made_pct,
        mc_dry_pct=_season_mc(asked, "rh_low_pct", asked.mc_dry_pct),
        mc_humid_pct=_season_mc(asked, "rh_high_pct", asked.mc_humid_pct),
        source=(source, RULE, *((EMC_SOURCE,) if asked.mc_dry_pct is None else ())),
    )


def slot(
    of: SeasonalMovement, *, from_fixed_len: int, across_len: int, tolerance_len: int, in_wood: bool = False
) -> Slot:
    """The slot at a distance from the fixed point.

    Parameters
    ----------
    of : SeasonalMovement
    from_fixed_len, across_len, tolerance_len : int
        Distance from the fixed point, diameter of the bolt, play in all [1/8 µm].
    in_wood : bool
        Whether the slot is in the wood that moves and the bolt stands still, as with a breadboard's pegs.
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
    if asked.coefficient is not None:
        return asked.coefficient, f"coefficient {asked.coefficient}: {OWN}"
    wood = species(asked.species or "")
    return (wood.tangential if asked.cut == "flatsawn" else wood.radial), wood.movement_source


def _season_mc(asked: Seasons, name: str, told: Decimal | None) -> Decimal:
    if told is not None:
        return told
    humidity = getattr(asked, name)
    moisture = equilibrium_moisture(Air(temp_c=asked.temp_c, rh_pct=humidity))
    if Decimal(MC_LEAST) <= moisture <= Decimal(MC_MOST):
        return moisture
    allowed = f"air that brings wood to {MC_LEAST} to {MC_MOST} % moisture"
    raise OutOfRange(
        f"{name} {humidity} % at {asked.temp_c} °C brings wood to {moisture} %: {allowed}",
        field=name,
        value=humidity,
        allowed=allowed,
    )


def _missing(field: str, allowed: str) -> Unreadable:
    return Unreadable(f"{field} is needed: {allowed}", field=field, value=None, allowed=allowed)
