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
    """One reading: time since the first one [s], moisture content [%], and the correction to add to it [%].

    ``correction_pct`` is that of the meter's own tables for species and temperature; 0 if the meter made it.
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
        Thickness of the stock [1/8 µm].
    temp_c, rh_pct : Decimal
        Air of the shop [°C, %].

    Raises
    ------
    Unreadable, OutOfRange
    """

    readings: Annotated[tuple[MeterReading, ...], Rows("meter readings", MeterReading, 1, 500)]
    thickness_len: Annotated[int, Length("thickness of the stock", inches("1/8"), inches(6))]
    temp_c: Annotated[Decimal, TEMP] = Decimal(21)
    rh_pct: Annotated[Decimal, Percent("relative humidity", RH_LEAST, RH_MOST)]

    def __post_init__(self) -> None:
        check(self)
        if min(each.elapsed_s for each in self.readings) > 0:
            raise out_of_range("readings", "the first one later than 0", "the first reading at 0 s")
