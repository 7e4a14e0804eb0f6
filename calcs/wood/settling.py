"""When stock has settled to the air of the shop, from moisture meter readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil, exp, floor, log

from calcs.kit.rounding import places
from calcs.kit.units import UNITS_PER_INCH
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
PRACTICE = "common practice, no source"
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
    """How stock settles: moistures [%], to 0.1, and whole days in seconds since the first reading.

    ``off_emc_pct`` is how far the mean now is from the equilibrium of the air. ``fitted`` where the days come
    from the readings, else they are a range by thickness, from the last reading on, and ``likely_s`` is None.
    ``latest_s`` None: the readings do not say. ``change_pct`` is that of the last seven days.
    """

    emc_pct: Decimal
    now_pct: Decimal
    off_emc_pct: Decimal
    change_pct: Decimal | None
    spread_pct: Decimal | None
    settled: bool
    stops: bool
    fitted: bool
    earliest_s: int
    likely_s: int | None
    latest_s: int | None
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def settling(stock: Stock) -> Settling:
    """When the trade's rule for settled stock is met, with an honest range.

    Returns
    -------
    Settling
        Earliest rounded down, likely and latest up, to whole days.

    Notes
    -----
    Readings are fitted by moisture = equilibrium + a exp(-k t), the equilibrium being that of the shop's air.
    The range is nine in ten: every k the readings allow, each with the equilibrium half a point either way,
    as a meter may be off. Meters repeat to about a quarter point; no closer is believed. Thick wood starts
    more slowly than an exponential, so take a reading again before milling.
    Fewer than 3 times of reading, a span under 5 days or a change under 1 % make no curve.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, eq. 4-5, for the equilibrium.
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
    """Days and corrected moistures, in the order of time."""
    return sorted(
        (each.elapsed_s / DAY_S, float(each.mc_pct + (each.correction_pct or 0))) for each in stock.readings
    )


def _means(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    strips: dict[float, list[float]] = {}
    for day, mc in points:
        strips.setdefault(day, []).append(mc)
    return [(day, sum(each) / len(each)) for day, each in strips.items()]


def _change(means: Sequence[tuple[float, float]]) -> float | None:
    """Change over the last seven days, between readings in a straight line; None if they are not as long."""
    last, now = means[-1]
    start = last - WINDOW_D
    for (d1, m1), (d2, m2) in zip(means, means[1:], strict=False):
        if d1 <= start <= d2:
            return now - (m1 + (m2 - m1) * (start - d1) / (d2 - d1))
    return None


def _spread(points: Sequence[tuple[float, float]]) -> Decimal | None:
    last = [mc for day, mc in points if day == points[-1][0]]
    return places(max(last) - min(last), 1) if len(last) > 1 else None


def _no_curve(means: Sequence[tuple[float, float]]) -> str:
    if len(means) < FEWEST:
        return ("one reading does not make a curve", "two readings do not make a curve")[len(means) - 1]
    if means[-1][0] < SHORTEST_D:
        return f"readings over less than {SHORTEST_D} days do not make a curve"
    if abs(means[-1][1] - means[0][1]) < LEAST_CHANGE:
        return f"a change of less than {LEAST_CHANGE:.0f} % does not make a curve"
    return ""


def _wrong_way(means: Sequence[tuple[float, float]], emc: float) -> str:
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
    """The first day on which the change of the seven days before is small enough and the mean near [d].

    ``shift`` is how far the meter's equilibrium lies above that of the air.
    """
    away = abs(fit.start)
    slow = away * (exp(WINDOW_D * fit.rate) - 1) / MOST_CHANGE
    close = away / (NEAR_EMC - shift if fit.start > 0 else NEAR_EMC + shift)
    ratio = max(slow, close)
    return max(WINDOW_D, log(ratio) / fit.rate) if ratio > 1 else WINDOW_D


def _by_thickness(thickness_len: int, last: float) -> tuple[float, None, float | None]:
    square = (thickness_len / UNITS_PER_INCH) ** 2
    earliest, latest = (days * square for days in PER_INCH_D)
    return max(earliest, last), None, latest if latest > last else None


def _warnings(off: float, spread: Decimal | None) -> tuple[str, ...]:
    """What is amiss; ``off`` is how far stock that hardly changes is from the equilibrium [%]."""
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
    found = ["settled by the rule; read again before milling"] if settled else []
    if why_not and not settled:
        usual = "the usual time by thickness is over, read again in a week" if over else USUAL_RANGE
        found.append(f"{why_not}: {usual}")
    if any(each.correction_pct is None for each in stock.readings):
        found.append("as read: no correction for species and temperature is noted for every reading")
    if spread is None:
        found.append("one strip read last: nothing is known of the spread over the strips")
    return tuple(found)
