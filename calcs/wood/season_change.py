"""Change of a size from the driest to the most humid season of a room."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Percent, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.validators import decimal
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, RH_LEAST, RH_MOST, TEMP, equilibrium_moisture
from calcs.wood.indoors import ROOM_C
from calcs.wood.movement import CUT, SIZE, Movement, MovementOf, movement

FULL_SWING = "full swing; a finished top lags behind the air"
DRIEST = Percent("driest air of the year", RH_LEAST, RH_MOST)
WETTEST = Percent("most humid air of the year", RH_LEAST, RH_MOST)


@dataclass(frozen=True, kw_only=True)
class Season:
    """Width in a room whose air moves between two humidities.

    Parameters
    ----------
    size_len, species, cut
        As for `Movement`; size [1/8 µm].
    temp_c : Decimal
        Temperature of the room, -1.2 to 60 [°C]; 21 by default.
    rh_low, rh_high : Decimal
        Driest and most humid air of the year, 5 to 95 [%].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where the humid end is drier than the dry one.
    """

    size_len: Annotated[int, SIZE, Figure("Width")]
    species: Annotated[str, Wood("species")]
    cut: Annotated[str, CUT, Figure("Cut")]
    temp_c: Annotated[Decimal, TEMP, Figure("Temperature")] = ROOM_C
    rh_low: Annotated[Decimal, DRIEST, Figure("Driest air")]
    rh_high: Annotated[Decimal, WETTEST, Figure("Most humid air")]

    def __post_init__(self) -> None:
        check(self)
        decimal(self.rh_high, "rh_high", least=str(self.rh_low), most=RH_MOST)


def season_change(season: Season) -> MovementOf:
    """Return the change of a size from the driest to the most humid season of a room.

    Parameters
    ----------
    season : Season
        Size [1/8 µm], wood, temperature [°C] and both humidities [%].

    Returns
    -------
    MovementOf
        ``mc_from`` and ``mc_to`` are the equilibrium moisture contents of the two airs.

    Notes
    -----
    A finished top lags behind the air. The full change is the safe figure for slots and recesses.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 4-5, 13-2, 13-3, table 13-5.
    """
    low, high = (
        equilibrium_moisture(Air(temp_c=season.temp_c, rh_pct=rh)) for rh in (season.rh_low, season.rh_high)
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
