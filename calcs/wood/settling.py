"""Time at which stock has settled to the air of the shop, from moisture meter readings.

Settled stock hardly changes any more, is near the equilibrium of the air, and is alike over the strips. The
rule with its figures is common practice; no printed source is known. The time ahead comes from a fitted
curve, or by thickness where the readings make no curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil, exp, floor, log
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import places
from calcs.kit.units import UNITS_PER_INCH
from calcs.tables import PRACTICE
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, equilibrium_moisture
from calcs.wood.exponential_fit import ExponentialFit, allowed_fits, fit_exponential
from calcs.wood.settling_inputs import DAY_S, Stock

FEWEST, SHORTEST_D, LEAST_CHANGE = 3, 5, 1.0
WINDOW_D, MOST_CHANGE = 7.0, 0.5
NEAR_EMC = 1.0
WANTED_SPREAD, MOST_SPREAD = Decimal(1), Decimal(2)
BIAS = 0.5
PER_INCH_D = (7, 14)
FROM_READINGS = (
    "the readings given, from a meter that repeats to 0.25 % and is off by 0.5 % at most:"
    " common practice, no source"
)
USUAL_RANGE = "only a range by thickness, counted from the first reading"
RULE = (
    f"settled: change of {MOST_CHANGE} % at most in {WINDOW_D:.0f} days, mean within {NEAR_EMC:.0f} % of the"
    f" equilibrium of the air, spread of {WANTED_SPREAD} % at most over the strips, {MOST_SPREAD} % stops:"
    f" {PRACTICE}"
)
BY_THICKNESS = (
    "adhesive maker gluing guide, undated, name withheld: 7 to 14 days in the shop before milling (read);"
    f" taken for 1 in and with the square of the thickness: {PRACTICE}"
)


@dataclass(frozen=True, kw_only=True)
class Settling:
    """Course of stock towards the equilibrium; times are whole days in seconds since the first reading.

    Attributes
    ----------
    emc_pct, now_pct : Decimal
        Equilibrium of the shop's air, and mean of the last readings, to 0.1 [%].
    off_emc_pct : Decimal
        Distance of the mean from the equilibrium, to 0.1 [%].
    change_pct : Decimal or None
        Change over the last seven days, to 0.1 [%]; None where the readings span less.
    spread_pct : Decimal or None
        Highest less lowest of the strips read last, to 0.1 [%]; None for one strip.
    settled : bool
        True where the rule is met now.
    stops : bool
        True where the strips differ too much to mill or glue.
    fitted : bool
        True where the times come from the readings; else they are a range by thickness.
    earliest_s, likely_s, latest_s : int or None
        Times at which the rule is met [s]. ``likely_s`` is None without a curve. ``latest_s`` is None where
        the readings do not bound it.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    emc_pct: Annotated[Decimal, Figure("Moisture the shop's air leads to")]
    now_pct: Annotated[Decimal, Figure("Moisture now")]
    off_emc_pct: Annotated[Decimal, Figure("Away from what the air leads to")]
    change_pct: Annotated[Decimal | None, Figure("Lost or gained between the last two")]
    spread_pct: Annotated[Decimal | None, Figure("Spread")]
    settled: Annotated[bool, Figure("Settled")]
    stops: Annotated[bool, Figure("No longer moves")]
    fitted: Annotated[bool, Figure("A curve fits the readings")]
    earliest_s: Annotated[int, Figure("At the earliest")]
    likely_s: Annotated[int | None, Figure("Likely")]
    latest_s: Annotated[int | None, Figure("At the latest")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def settling(stock: Stock) -> Settling:
    """Return when stock meets the trade's rule for settled wood, as a range.

    Parameters
    ----------
    stock : Stock
        Readings [s, %], thickness [1/8 µm] and the shop's air [°C, %].

    Returns
    -------
    Settling
        Earliest rounded down, likely and latest up, to whole days.

    Notes
    -----
    Rule: change of 0.5 % at most in seven days, mean within 1 % of the equilibrium, strips within 1 %.
    Readings are fitted by moisture = equilibrium + a exp(-k t), with the equilibrium of the shop's air.
    The range is nine in ten: every k the readings allow, each with the equilibrium half a point either way,
    as a meter may be off. Meters repeat to about a quarter point, so no closer fit is believed.
    Fewer than 3 times of reading, a span under 5 days or a change under 1 % make no curve. The range then
    goes by thickness: 7 to 14 days for 1 in, with the square of the thickness.
    Thick wood starts more slowly than an exponential, so take a reading again before milling.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4, eq. 4-5 and table 4-2.
    .. [2] Adhesive maker's gluing guide, undated, name withheld: 7 to 14 days in the shop before milling.
    .. [3] The rule, the figures of meters and the square of the thickness: common practice, no source.
    """
    emc = equilibrium_moisture(Air(temp_c=stock.temp_c, rh_pct=stock.rh_pct))
    points = _points(stock)
    means = _means(points)
    change, spread = _change(means), _spread(points)
    stops = spread is not None and spread > MOST_SPREAD
    steady = change is not None and abs(change) <= MOST_CHANGE
    off = abs(means[-1][1] - float(emc))
    settled = steady and off <= NEAR_EMC and (spread is None or spread <= WANTED_SPREAD)
    why_not = _no_curve(means) or _wrong_way(means, float(emc))
    last = means[-1][0]
    days: tuple[float, float, float | None] | None = (last, last, last) if settled else None
    if days is None and not why_not:
        days = _days(points, float(emc), last)
        why_not = "" if days else "the readings do not run towards the equilibrium of the shop"
    earliest, likely, latest = days or _by_thickness(stock.thickness_len, last)
    return Settling(
        emc_pct=places(emc, 1),
        now_pct=places(means[-1][1], 1),
        off_emc_pct=places(off, 1),
        change_pct=None if change is None else places(change, 1),
        spread_pct=spread,
        settled=settled,
        stops=stops,
        fitted=not settled and not why_not,
        earliest_s=floor(earliest) * DAY_S,
        likely_s=None if likely is None else ceil(likely) * DAY_S,
        latest_s=None if latest is None else ceil(latest) * DAY_S,
        warnings=_warnings(off if steady else 0.0, spread),
        notes=_notes(stock, why_not, settled, spread, over=latest is None),
        source=(EMC_SOURCE, RULE, BY_THICKNESS if why_not and not settled else FROM_READINGS),
    )


def _points(stock: Stock) -> list[tuple[float, float]]:
    """Return readings as days and corrected moistures [d, %], in the order of time."""
    return sorted(
        (each.elapsed_s / DAY_S, float(each.mc_pct + (each.correction_pct or 0))) for each in stock.readings
    )


def _means(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the mean moisture of the strips at each time of reading [d, %]."""
    strips: dict[float, list[float]] = {}
    for day, mc in points:
        strips.setdefault(day, []).append(mc)
    return [(day, sum(each) / len(each)) for day, each in strips.items()]


def _change(means: Sequence[tuple[float, float]]) -> float | None:
    """Return the change over the last seven days [%], read in a straight line between readings.

    None where the readings span less than seven days.
    """
    last, now = means[-1]
    start = last - WINDOW_D
    for (d1, m1), (d2, m2) in zip(means, means[1:], strict=False):
        if d1 <= start <= d2:
            return now - (m1 + (m2 - m1) * (start - d1) / (d2 - d1))
    return None


def _spread(points: Sequence[tuple[float, float]]) -> Decimal | None:
    """Return the highest less the lowest of the strips read last, to 0.1 [%]; None for one strip."""
    last = [mc for day, mc in points if day == points[-1][0]]
    return places(max(last) - min(last), 1) if len(last) > 1 else None


def _no_curve(means: Sequence[tuple[float, float]]) -> str:
    """Return the reason why the readings make no curve; empty where they make one."""
    if len(means) < FEWEST:
        return ("one reading does not make a curve", "two readings do not make a curve")[len(means) - 1]
    if means[-1][0] < SHORTEST_D:
        return f"readings over less than {SHORTEST_D} days do not make a curve"
    if abs(means[-1][1] - means[0][1]) < LEAST_CHANGE:
        return f"a change of less than {LEAST_CHANGE:.0f} % does not make a curve"
    return ""


def _wrong_way(means: Sequence[tuple[float, float]], emc: float) -> str:
    """Return a warning where the readings move away from the equilibrium or past it; else an empty text."""
    (_, first), (_, last) = means[0], means[-1]
    if (last - first) * (emc - first) <= 0 or (first - emc) * (last - emc) <= 0:
        return (
            f"the readings run from {first:.1f} to {last:.1f} %, not towards the {emc:.1f} % of the shop:"
            " check the meter's corrections and the humidity"
        )
    return ""


def _days(
    points: Sequence[tuple[float, float]], emc: float, last: float
) -> tuple[float, float, float | None] | None:
    """Return the earliest, likely and latest day on which the rule is met [d]; None where no curve fits.

    Notes
    -----
    The likely day is that of the best fit. The range covers every allowed fit at the equilibrium and half a
    point either side. ``latest`` is None where the slowest rate of the grid is still allowed.
    """
    best = fit_exponential(points, emc)
    if best is None:
        return None
    likely = max(_ready(best, 0.0), last)
    found = [likely]
    open_ended = False
    for shift in (0.0, -BIAS, BIAS):
        for each in allowed_fits(points, emc + shift):
            found.append(max(_ready(each, shift), last))
            open_ended = open_ended or each.slowest
    return min(found), likely, None if open_ended else max(found)


def _ready(fit: ExponentialFit, shift: float) -> float:
    """Return the first day on which the rule for one curve is met [d].

    Parameters
    ----------
    fit : ExponentialFit
        Curve with its start [%] and rate [1/d].
    shift : float
        How far the meter's equilibrium lies above that of the air [%].

    Notes
    -----
    Two conditions on a(t) = |start| exp(-rate t). The change of the seven days before is small enough when
    a(t) (exp(7 rate) - 1) <= 0.5. The mean is near enough when a(t) <= 1 - shift, or 1 + shift from below.
    The later of the two counts, and never less than seven days.
    """
    away = abs(fit.start)
    slow = away * (exp(WINDOW_D * fit.rate) - 1) / MOST_CHANGE
    close = away / (NEAR_EMC - shift if fit.start > 0 else NEAR_EMC + shift)
    ratio = max(slow, close)
    return max(WINDOW_D, log(ratio) / fit.rate) if ratio > 1 else WINDOW_D


def _by_thickness(thickness_len: int, last: float) -> tuple[float, None, float | None]:
    """Return the earliest and latest day by thickness [d], with no likely one: 7 to 14 days x (thickness in
    inches)².
    """
    square = (thickness_len / UNITS_PER_INCH) ** 2
    earliest, latest = (days * square for days in PER_INCH_D)
    return max(earliest, last), None, latest if latest > last else None


def _warnings(off: float, spread: Decimal | None) -> tuple[str, ...]:
    """Return what is amiss.

    Parameters
    ----------
    off : float
        Distance from the equilibrium of stock that hardly changes [%]; 0 where it still changes.
    spread : Decimal or None
        Difference between strips [%].
    """
    found = []
    if spread is not None and spread > WANTED_SPREAD:
        what = "do not mill or glue" if spread > MOST_SPREAD else "wait or sort the strips"
        found.append(f"strips differ by {spread} %, more than {WANTED_SPREAD} %: {what} ({PRACTICE})")
    if off > NEAR_EMC:
        found.append(
            f"it hardly changes and is still {off:.1f} % from the equilibrium of the air: not settled;"
            " the core may go on for long, or the meter is off"
        )
    return tuple(found)


def _notes(
    stock: Stock, why_not: str, settled: bool, spread: Decimal | None, *, over: bool
) -> tuple[str, ...]:
    """Return what the reader must know about the times: on which readings and rules they rest."""
    found = ["settled by the rule; take one more reading before milling"] if settled else []
    if why_not and not settled:
        usual = "the usual time by thickness is over: take a reading in a week" if over else USUAL_RANGE
        found.append(f"{why_not}: {usual}")
    if any(each.correction_pct is None for each in stock.readings):
        found.append("enter each reading's correction for species and temperature: some have none")
    if spread is None:
        found.append("read several strips at once to know their spread: the last reading is of one")
    return tuple(found)
