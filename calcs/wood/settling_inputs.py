"""Readings of stock that settles in the shop, as asked about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Duration, Length, Number, Percent
from calcs.asking.inputs import Rows, check
from calcs.kit.rounding import places
from calcs.kit.typed import out_of_range
from calcs.kit.units import inches
from calcs.wood.emc import RH_LEAST, RH_MOST, TEMP

DAY_S = 86400
WINDOW_D = 7.0


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


def points_of(stock: Stock) -> list[tuple[float, float]]:
    """Return readings as days and corrected moistures [d, %], in the order of time."""
    return sorted(
        (each.elapsed_s / DAY_S, float(each.mc_pct + (each.correction_pct or 0))) for each in stock.readings
    )


def means_of(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the mean moisture of the strips at each time of reading [d, %]."""
    strips: dict[float, list[float]] = {}
    for day, mc in points:
        strips.setdefault(day, []).append(mc)
    return [(day, sum(each) / len(each)) for day, each in strips.items()]


def change_of(means: Sequence[tuple[float, float]]) -> float | None:
    """Return the change over the last seven days [%], read in a straight line between readings.

    None where the readings span less than seven days.
    """
    last, now = means[-1]
    start = last - WINDOW_D
    for (d1, m1), (d2, m2) in zip(means, means[1:], strict=False):
        if d1 <= start <= d2:
            return now - (m1 + (m2 - m1) * (start - d1) / (d2 - d1))
    return None


def spread_of(points: Sequence[tuple[float, float]]) -> Decimal | None:
    """Return the highest less the lowest of the strips read last, to 0.1 [%]; None for one strip."""
    last = [mc for day, mc in points if day == points[-1][0]]
    return places(max(last) - min(last), 1) if len(last) > 1 else None
