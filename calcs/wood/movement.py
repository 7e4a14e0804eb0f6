"""Change of size with moisture, by species and cut."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Percent, Wood
from calcs.asking.inputs import check
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import half_up
from calcs.kit.units import inches
from calcs.kit.validators import decimal
from calcs.materials.species import Species, species, species_list
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, RH_LEAST, RH_MOST, TEMP, equilibrium_moisture

__all__ = [
    "CUTS",
    "Movement",
    "MovementOf",
    "Season",
    "Species",
    "change",
    "movement",
    "season_change",
    "species",
    "species_list",
]

CUTS = ("flatsawn", "quartersawn")
MEAN = "a mean of many boards: single boards differ"
FULL_SWING = "full swing; a finished top lags behind the air"
MC_LEAST, MC_MOST = "6", "14"
SIZE = Length("size across the grain", inches("1/64"), inches(480))
CUT = Choice("cut; mixed and rift count as flatsawn", CUTS)
MOISTURE = Percent("moisture content", MC_LEAST, MC_MOST)
DRIEST = Percent("driest air of the year", RH_LEAST, RH_MOST)
WETTEST = Percent("most humid air of the year", RH_LEAST, RH_MOST)
RULE = (
    "change = size x coefficient x change of moisture, 6 to 14 %:"
    " Wood Handbook FPL-GTR-190 (2010) ch. 13, eq. 13-2"
)


@dataclass(frozen=True, kw_only=True)
class Movement:
    """A width or thickness, and the moisture contents it goes between.

    Parameters
    ----------
    size_len : int
        Size across the grain at the start [1/8 µm].
    species : str
        Name or shop name.
    cut : {"flatsawn", "quartersawn"}
        Mixed and rift stock counts as flatsawn.
    mc_from, mc_to : Decimal
        Moisture content [%], 6 to 14.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    size_len: Annotated[int, SIZE]
    species: Annotated[str, Wood("species")]
    cut: Annotated[str, CUT]
    mc_from: Annotated[Decimal, MOISTURE]
    mc_to: Annotated[Decimal, MOISTURE]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Season:
    """A width in a room that swings between two humidities.

    Parameters
    ----------
    size_len, species, cut
        As for `Movement`; size [1/8 µm].
    temp_c : Decimal
        Temperature of the room [°C].
    rh_low, rh_high : Decimal
        Driest and most humid air of the year [%].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    size_len: Annotated[int, SIZE]
    species: Annotated[str, Wood("species")]
    cut: Annotated[str, CUT]
    temp_c: Annotated[Decimal, TEMP] = Decimal(21)
    rh_low: Annotated[Decimal, DRIEST]
    rh_high: Annotated[Decimal, WETTEST]

    def __post_init__(self) -> None:
        check(self)
        decimal(self.rh_high, "rh_high", least=str(self.rh_low), most=RH_MOST)


@dataclass(frozen=True, kw_only=True)
class MovementOf:
    """Change of size [1/8 µm]; negative shrinks. ``coefficient`` as fraction of size per % moisture [%⁻¹]."""

    change_len: int
    end_len: int
    coefficient: Decimal
    mc_from: Decimal
    mc_to: Decimal
    notes: tuple[str, ...]
    source: tuple[str, ...]


def change(*, size_len: int, coefficient: Decimal, mc_from: Decimal, mc_to: Decimal) -> int:
    """Change of a size [1/8 µm] for a coefficient [fraction per %] and moisture contents [%], 6 to 14.

    Raises
    ------
    Unreadable, OutOfRange

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2.
    """
    decimal(coefficient, "coefficient", least="0", most="0.01")
    _check_moisture(mc_from, mc_to)
    return half_up(size_len * Fraction(coefficient) * (Fraction(mc_to) - Fraction(mc_from)))


def movement(move: Movement) -> MovementOf:
    """Change of a width or thickness between two moisture contents.

    Returns
    -------
    MovementOf
        To the nearest 1/8 µm; coefficients carry three figures.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 13, eq. 13-2, table 13-5.
    """
    coefficient, source = coefficient_of(move.species, move.cut)
    moved = change(size_len=move.size_len, coefficient=coefficient, mc_from=move.mc_from, mc_to=move.mc_to)
    return MovementOf(
        change_len=moved,
        end_len=move.size_len + moved,
        coefficient=coefficient,
        mc_from=move.mc_from,
        mc_to=move.mc_to,
        notes=(MEAN,),
        source=(source, RULE),
    )


def season_change(season: Season) -> MovementOf:
    """Change from the driest to the most humid season of a room.

    Returns
    -------
    MovementOf
        ``mc_from`` and ``mc_to`` are the equilibrium moisture contents of the two airs.

    Raises
    ------
    OutOfRange
        If an air brings wood outside 6 to 14 %, where the coefficients do not hold.

    Notes
    -----
    A finished top lags behind the air; the full swing is the safe figure for slots and recesses.
    """
    low, high = (
        season_moisture(temp_c=season.temp_c, rh_pct=getattr(season, name), field=name)
        for name in ("rh_low", "rh_high")
    )
    moved = movement(
        Movement(size_len=season.size_len, species=season.species, cut=season.cut, mc_from=low, mc_to=high)
    )
    return MovementOf(
        change_len=moved.change_len,
        end_len=moved.end_len,
        coefficient=moved.coefficient,
        mc_from=low,
        mc_to=high,
        notes=(*moved.notes, FULL_SWING),
        source=(*moved.source, EMC_SOURCE),
    )


def season_moisture(*, temp_c: Decimal, rh_pct: Decimal, field: str) -> Decimal:
    """What wood comes to in the air of a season [%]; refused outside 6 to 14 %.

    Parameters
    ----------
    temp_c, rh_pct : Decimal
        Temperature [°C] and relative humidity [%] of the room.
    field : str
        Name of the humidity, for the error.

    Raises
    ------
    OutOfRange
    """
    moisture = equilibrium_moisture(Air(temp_c=temp_c, rh_pct=rh_pct))
    if Decimal(MC_LEAST) <= moisture <= Decimal(MC_MOST):
        return moisture
    allowed = f"air that brings wood to {MC_LEAST} to {MC_MOST} % moisture"
    raise OutOfRange(
        f"{field} {rh_pct} % at {temp_c} °C brings wood to {moisture} %: {allowed}",
        field=field,
        value=rh_pct,
        allowed=allowed,
    )


def coefficient_of(name: str, cut: str) -> tuple[Decimal, str]:
    """Dimensional change coefficient of a species by its cut [fraction of size per %], and its source."""
    wood = species(name)
    return (wood.tangential if cut == "flatsawn" else wood.radial), wood.movement_source


def _check_moisture(mc_from: Decimal, mc_to: Decimal) -> None:
    MOISTURE.check(mc_from, "mc_from")
    MOISTURE.check(mc_to, "mc_to")
