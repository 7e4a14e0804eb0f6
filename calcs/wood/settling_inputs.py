"""Readings of stock that settles in the shop, as asked about it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Duration, Length, Number, Percent
from calcs.asking.inputs import Rows, check
from calcs.kit.typed import out_of_range
from calcs.kit.units import inches
from calcs.wood.emc import RH_LEAST, RH_MOST, TEMP

DAY_S = 86400


@dataclass(frozen=True, kw_only=True)
class MeterReading:
    """One reading of a moisture meter.

    Parameters
    ----------
    elapsed_s : int
        Time since the first reading, up to two years [s].
    mc_pct : Decimal
        Moisture content read, 4 to 30 [%].
    correction_pct : Decimal, optional
        Correction to add, from the meter's own tables for species and temperature [%]; 0 if the meter made
        it.

    Raises
    ------
    Unreadable, OutOfRange
    """

    elapsed_s: Annotated[int, Duration("time since the first reading", 0, 730 * DAY_S)]
    mc_pct: Annotated[Decimal, Percent("moisture content read", "4", "30")]
    correction_pct: Annotated[
        Decimal | None, Number("correction for species and temperature", "-5", "5", "%")
    ] = None

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Stock that settles in the shop.

    Parameters
    ----------
    readings : tuple of MeterReading
        The first at 0; several at one time are of several strips.
    thickness_len : int
        Thickness of the stock, 1/8 to 6 in [1/8 µm].
    temp_c, rh_pct : Decimal
        Air of the shop [°C, %]; 21 °C by default.

    Raises
    ------
    Unreadable, OutOfRange
        Also where no reading lies at 0.
    """

    readings: Annotated[tuple[MeterReading, ...], Rows("meter readings", MeterReading, 1, 500)]
    thickness_len: Annotated[int, Length("thickness of the stock", inches("1/8"), inches(6))]
    temp_c: Annotated[Decimal, TEMP] = Decimal(21)
    rh_pct: Annotated[Decimal, Percent("relative humidity", RH_LEAST, RH_MOST)]

    def __post_init__(self) -> None:
        check(self)
        if min(each.elapsed_s for each in self.readings) > 0:
            raise out_of_range("readings", "the first one later than 0", "the first reading at 0 s")
