"""Equilibrium moisture content: the moisture that wood comes to in steady air.

Moisture content is the mass of water over the mass of ovendry wood [%]. One equation serves all species;
real species differ by about a point. It holds for bare wood that lies in the air long enough.

References
----------
.. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4, eq. 4-5 and table 4-2.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from calcs.asking.field_types import Percent, Temperature
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.errors import Unreadable
from calcs.kit.rounding import places
from calcs.kit.typed import out_of_range
from calcs.kit.validators import decimal
from calcs.wood.air import Air

EMC_SOURCE = "Wood Handbook FPL-GTR-190 (2010) eq. 4-5, constants after Simpson 1973"
TEMP_LEAST, TEMP_MOST = "-1.2", "95"
RH_LEAST, RH_MOST = "5", "95"
INTERIOR_LEAST, INTERIOR_MOST = Decimal(6), Decimal(8)
TEMP = Temperature("temperature of the room", TEMP_LEAST, "60")


@dataclass(frozen=True, kw_only=True)
class RoomAir:
    """Air of a room: as it is now, or at both ends of a year.

    Parameters
    ----------
    temp_c : Decimal
        Temperature, -1.2 to 60 [°C]; 21 by default.
    rh_pct : Decimal, optional
        Relative humidity, 5 to 95 [%].
    rh_low_pct, rh_high_pct : Decimal, optional
        Driest and most humid air of the year, 5 to 95 [%]; both or neither, and ``rh_pct`` or these.

    Raises
    ------
    Unreadable
        If neither ``rh_pct`` nor both ends of the year are given, or all of them are.
    OutOfRange
        If a value is outside its range, or the humid end is drier than the dry one.
    """

    temp_c: Annotated[Decimal, TEMP] = Decimal(21)
    rh_pct: Annotated[Decimal | None, Percent("relative humidity", RH_LEAST, RH_MOST)] = None
    rh_low_pct: Annotated[Decimal | None, Percent("driest air of the year", RH_LEAST, RH_MOST)] = None
    rh_high_pct: Annotated[Decimal | None, Percent("most humid air of the year", RH_LEAST, RH_MOST)] = None

    def __post_init__(self) -> None:
        check(self)
        seasons = (self.rh_low_pct, self.rh_high_pct)
        if (self.rh_pct is None) is (None in seasons) or seasons.count(None) == 1:
            raise Unreadable(
                "the humidity now, or the driest and the most humid of the year, is needed",
                field="rh_pct",
                value=self.rh_pct,
                allowed="rh_pct, or rh_low_pct and rh_high_pct",
            )
        if self.rh_low_pct is not None:
            decimal(self.rh_high_pct, "rh_high_pct", least=str(self.rh_low_pct), most=RH_MOST)


@dataclass(frozen=True, kw_only=True)
class Emc:
    """Moisture content that wood comes to in a room.

    Attributes
    ----------
    mc_pct : Decimal or None
        Moisture content in the air as it is, to 0.01 [%]; None where only the year was asked.
    mc_low_pct, mc_high_pct : Decimal or None
        Moisture contents in the driest and the most humid air, to 0.01 [%]; None where only now was asked.
    swing_pct : Decimal or None
        Difference between the two ends of the year [%].
    notes, source : tuple of str
        Limits of the figures, and their sources.
    """

    mc_pct: Annotated[Decimal | None, Figure("Moisture content")]
    mc_low_pct: Annotated[Decimal | None, Figure("Moisture in the driest air")]
    mc_high_pct: Annotated[Decimal | None, Figure("Moisture in the most humid air")]
    swing_pct: Annotated[Decimal | None, Figure("Between the two")]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def emc(room: RoomAir) -> Emc:
    """Return the moisture content that wood comes to in a room, or moves between over a year.

    Parameters
    ----------
    room : RoomAir
        Temperature [°C] with one humidity, or with both ends of the year [%].

    Returns
    -------
    Emc
        Moisture contents to 0.01 [%].

    Raises
    ------
    OutOfRange
        Outside -1.2 to 60 °C or 5 to 95 % RH: the range of the published table without kilns.

    Notes
    -----
    The temperature is the same at both ends of the year: a heated room.
    Finished and thick wood lags behind the seasons and changes less than the bare wood meant here.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 4-5 and table 4-2.

    Examples
    --------
    >>> round(emc(RoomAir(temp_c=Decimal("21.1"), rh_pct=Decimal(50))).mc_pct, 1)  # table 4-2: 9.2
    Decimal('9.2')
    """
    now, low, high = (
        None if rh is None else equilibrium_moisture(Air(temp_c=room.temp_c, rh_pct=rh))
        for rh in (room.rh_pct, room.rh_low_pct, room.rh_high_pct)
    )
    return Emc(
        mc_pct=now,
        mc_low_pct=low,
        mc_high_pct=high,
        swing_pct=None if low is None or high is None else high - low,
        notes=(
            "bare wood, left long enough; species differ by about a point",
            *(_interior(mc) for mc in (now,) if mc is not None),
        ),
        source=(EMC_SOURCE, "species and interiors: common practice, no source"),
    )


def equilibrium_moisture(air: Air) -> Decimal:
    """Return the moisture content that wood comes to if left in air long enough [%], to 0.01.

    Parameters
    ----------
    air : Air
        Temperature -1.2 to 95 °C, relative humidity 5 to 95 %.

    Returns
    -------
    Decimal
        Equilibrium moisture content [%].

    Raises
    ------
    OutOfRange
        Outside the range of the published table.

    Notes
    -----
    Hailwood-Horrobin equation with two hydrates. The 1973 fit differs from the older measured table by
    0.13 points on average.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 4-5 and table 4-2.
    .. [2] Simpson, W. T., "Predicting equilibrium moisture content of wood by mathematical models", Wood and
       Fiber 5(1), 1973.

    Examples
    --------
    >>> round(equilibrium_moisture(Air(temp_c=Decimal("21.1"), rh_pct=Decimal(50))), 1)  # table 4-2: 9.2
    Decimal('9.2')
    """
    decimal(air.temp_c, "temp", least=TEMP_LEAST, most=TEMP_MOST)
    decimal(air.rh_pct, "rh_pct", least=RH_LEAST, most=RH_MOST)
    return places(_two_hydrates(float(air.temp_c), float(air.rh_pct) / 100), 2)


def equilibrium_moistures(temp_c: Any, rh_pct: Any) -> Any:
    """Return the equilibrium moisture contents of many airs at once [%], unrounded.

    Parameters
    ----------
    temp_c, rh_pct : array of float
        Temperatures [°C] and relative humidities [%], NumPy arrays of one shape.

    Returns
    -------
    array of float
        Equilibrium moisture contents [%], in the shape of the inputs.

    Raises
    ------
    OutOfRange
        If any value is outside the range of the published table; the error names the one farthest out.

    Notes
    -----
    The equation is that of `equilibrium_moisture`; only the rounding is left out.
    """
    for name, values, least, most in (
        ("temp", temp_c, TEMP_LEAST, TEMP_MOST),
        ("rh_pct", rh_pct, RH_LEAST, RH_MOST),
    ):
        low, high = values.min(), values.max()
        if not (low >= float(least) and high <= float(most)):
            raise out_of_range(name, high if low >= float(least) else low, f"{least} to {most}")
    return _two_hydrates(temp_c, rh_pct / 100)


def _two_hydrates(t: Any, h: Any) -> Any:
    """Return the moisture content [%] by the Hailwood-Horrobin equation with two hydrates.

    Parameters
    ----------
    t, h : float or array of float
        Temperature [°C]; relative humidity as a fraction.

    Notes
    -----
    M = 1800/W [Kh/(1 - Kh) + (K1 Kh + 2 K1 K2 K²h²)/(1 + K1 Kh + K1 K2 K²h²)], with

    ==========  =============================================
    W           349 + 1.29 t + 0.0135 t²
    K           0.805 + 0.000736 t - 0.00000273 t²
    K1          6.27 - 0.00938 t - 0.000303 t²
    K2          1.91 + 0.0407 t - 0.000293 t²
    ==========  =============================================

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, eq. 4-5, with t in °C.
    """
    w = 349 + t * (1.29 + 0.0135 * t)
    k1 = 6.27 - t * (0.00938 + 0.000303 * t)
    k2 = 1.91 + t * (0.0407 - 0.000293 * t)
    kh = h * (0.805 + t * (0.000736 - 0.00000273 * t))
    first = k1 * kh
    both = first * k2 * kh
    return 1800 / w * (kh / (1 - kh) + (first + 2 * both) / (1 + first + both))


def _interior(mc: Decimal) -> str:
    """Return a note that compares a moisture content [%] with the 6 to 8 % wanted for interiors."""
    if INTERIOR_LEAST <= mc <= INTERIOR_MOST:
        return "inside the 6 to 8 % wanted for interiors"
    return f"{'drier' if mc < INTERIOR_LEAST else 'wetter'} than the 6 to 8 % wanted for interiors"
