"""Time at which stock has settled to the air of the shop, from moisture meter readings.

Settled stock hardly changes any more, is near the equilibrium of the air, and is alike over the strips. The
rule with its figures is common practice; no printed source is known. The time ahead comes from a fitted
curve, or by diffusion through the thickness where the readings make no curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil, floor
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import places
from calcs.kit.units import both_units, inches
from calcs.tables import PRACTICE
from calcs.wood.air import Air
from calcs.wood.emc import EMC_SOURCE, equilibrium_moisture
from calcs.wood.settling_inputs import DAY_S, WINDOW_D, Stock, change_of, means_of, points_of, spread_of
from calcs.wood.slab import DIFFUSION_SOURCE
from calcs.wood.time_to_settle import (
    MOST_CHANGE,
    NEAR_EMC,
    RULE,
    WANTED_SPREAD,
    Days,
    away_at_rule,
    by_curve,
    by_thickness,
    is_too_fast,
)

FEWEST, SHORTEST_D, LEAST_CHANGE = 3, 5, 1.0
MOST_SPREAD = 2.0
FROM_READINGS = (
    "the readings given, from a meter that repeats to 0.25 % and is off by 0.5 % at most:"
    " common practice, no source"
)
BY_DIFFUSION = "the time is by thickness alone, from diffusion; half to double of it is the range"
THICK_LEN = inches(2)


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
    away_at_rule_pct : Decimal
        Distance from the equilibrium at which stock of this thickness changes 0.5 % in 7 days, to 0.1 [%].
    settled : bool
        True where the rule is met now.
    stops : bool
        True where the strips differ too much to mill or glue.
    fitted : bool
        True where the times come from the readings; else they are by thickness.
    earliest_s, likely_s, latest_s : int or None
        Times at which the rule is met [s]. None where neither readings nor thickness bound them.
    left_s : int or None
        Likely time from the last reading on [s]; 0 where settled.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    emc_pct: Annotated[Decimal, Figure("Moisture the shop's air leads to")]
    now_pct: Annotated[Decimal, Figure("Moisture now")]
    off_emc_pct: Annotated[Decimal, Figure("Away from what the air leads to")]
    change_pct: Annotated[Decimal | None, Figure("Lost or gained over the last 7 days")]
    spread_pct: Annotated[Decimal | None, Figure("Spread")]
    away_at_rule_pct: Annotated[Decimal, Figure("Still away at 0.5 % in 7 days, by thickness")]
    settled: Annotated[bool, Figure("Settled")]
    stops: Annotated[bool, Figure("Strips differ too much to mill")]
    fitted: Annotated[bool, Figure("A curve fits the readings")]
    earliest_s: Annotated[int, Figure("At the earliest")]
    likely_s: Annotated[int | None, Figure("Likely")]
    latest_s: Annotated[int | None, Figure("At the latest")]
    left_s: Annotated[int | None, Figure("Likely still to go, from the last reading")]
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
    Rule: change of 0.5 % at most in seven days, mean within 1 % of the equilibrium, strips within 1 %, and no
    faster course than wood of this thickness can take: such readings tell of the outside alone.
    Readings are fitted by moisture = equilibrium + a exp(-k t), with the equilibrium of the shop's air.
    The range is nine in ten: every k the readings allow, each with the equilibrium half a point either way,
    as a meter may be off. Meters repeat to about a quarter point, so no closer fit is believed.
    Fewer than 3 times of reading, a span under 5 days or a change under 1 % make no curve. The time then is
    that of diffusion through a slab of this thickness, from the last reading on.

    References
    ----------
    .. [1] USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190, 2010, ch. 4, eq. 4-5 and table 4-2.
    .. [2] Crank, J., The Mathematics of Diffusion, 2nd ed., 1975, eq. 4.18.
    .. [3] Sonderegger et al., Holzforschung 65(6), 2011, 819-828: diffusion coefficients across the grain.
    .. [4] The rule and the figures of meters: common practice, no source.
    """
    emc = equilibrium_moisture(Air(temp_c=stock.temp_c, rh_pct=stock.rh_pct))
    points = points_of(stock)
    means = means_of(points)
    change, spread = change_of(means), spread_of(points)
    stops = spread is not None and spread > MOST_SPREAD
    steady = change is not None and abs(change) <= MOST_CHANGE
    (last, now), off = means[-1], abs(means[-1][1] - float(emc))
    too_fast = is_too_fast(means, float(emc), stock.thickness_len)
    settled = (
        steady and not too_fast and off <= NEAR_EMC and (spread is None or float(spread) <= WANTED_SPREAD)
    )
    days, why_not = Days(earliest=last, likely=last, latest=last), ""
    if not settled:
        curve, why_not = _curve(points, means, float(emc), float(spread or 0), too_fast)
        days = curve or _without_curve(stock, means, float(emc), float(spread or 0), steady, too_fast)
    likely = None if days.likely is None else max(ceil(days.likely), ceil(last))
    return Settling(
        emc_pct=places(emc, 1),
        now_pct=places(now, 1),
        off_emc_pct=places(off, 1),
        change_pct=None if change is None else places(change, 1),
        spread_pct=spread,
        away_at_rule_pct=places(away_at_rule(stock.thickness_len), 1),
        settled=settled,
        stops=stops,
        fitted=not settled and not why_not,
        earliest_s=floor(max(days.earliest, last)) * DAY_S,
        likely_s=None if likely is None else likely * DAY_S,
        latest_s=None if days.latest is None else max(ceil(days.latest), ceil(last)) * DAY_S,
        left_s=0 if settled else None if likely is None else (likely - floor(last)) * DAY_S,
        warnings=_warnings(stock, off if steady else 0.0, spread, too_fast),
        notes=_notes(stock, why_not, settled, spread, over=days.latest is None),
        source=(EMC_SOURCE, RULE, *(() if why_not or settled else (FROM_READINGS,)), DIFFUSION_SOURCE),
    )


def _curve(
    points: Sequence[tuple[float, float]],
    means: Sequence[tuple[float, float]],
    emc: float,
    spread: float,
    too_fast: bool,
) -> tuple[Days | None, str]:
    """Return the days by the curve of the readings; None and the reason where they make none.

    Parameters
    ----------
    points, means : sequence of (float, float)
        Days and moistures of each strip, and their means [d, %].
    emc, spread : float
        Equilibrium of the air, and difference between the strips read last [%].
    too_fast : bool
        True where the readings tell of the outside alone.
    """
    why_not = _no_curve(means) or _wrong_way(means, emc)
    why_not = why_not or ("the readings tell of the outside alone" if too_fast else "")
    if why_not:
        return None, why_not
    days = by_curve(points, emc, last=means[-1][0], spread=spread)
    return days, "" if days else "the readings do not run towards the equilibrium of the shop"


def _without_curve(
    stock: Stock,
    means: Sequence[tuple[float, float]],
    emc: float,
    spread: float,
    steady: bool,
    too_fast: bool,
) -> Days:
    """Return the days by thickness: from the last reading, or from the first where only that one counts.

    Parameters
    ----------
    stock : Stock
        For its thickness [1/8 µm].
    means : sequence of (float, float)
        Means of the strips at each time of reading [d, %].
    emc, spread : float
        Equilibrium of the air, and difference between the strips read last [%].
    steady, too_fast : bool
        Whether it hardly changes; whether the readings tell of the outside alone.

    Notes
    -----
    Stock that hardly changes, far from the equilibrium and longer than a slab of its thickness takes, has no
    likely day.
    """
    (first_d, first), (last, now) = means[0], means[-1]
    since_first = by_thickness(
        stock.thickness_len, off=abs(first - emc), last=first_d, spread=spread, uniform=True
    )
    off = abs(now - emc)
    if steady and off > NEAR_EMC and since_first.latest is not None and last > since_first.latest:
        return Days(earliest=last, likely=None, latest=None)
    if too_fast or len(means) == 1:
        return since_first
    return by_thickness(stock.thickness_len, off=off, last=last, spread=spread, uniform=False)


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


def _warnings(stock: Stock, off: float, spread: Decimal | None, too_fast: bool) -> tuple[str, ...]:
    """Return what is amiss.

    Parameters
    ----------
    stock : Stock
        For its thickness [1/8 µm].
    off : float
        Distance from the equilibrium of stock that hardly changes [%]; 0 where it still changes.
    spread : Decimal or None
        Difference between strips [%].
    too_fast : bool
        True where the readings tell of the outside alone.
    """
    found = []
    if spread is not None and spread > WANTED_SPREAD:
        what = "do not mill or glue" if spread > MOST_SPREAD else "wait or sort the strips"
        found.append(f"strips differ by {spread} %, more than {WANTED_SPREAD:.0f} %: {what} ({PRACTICE})")
    if off > NEAR_EMC:
        slow, thick = away_at_rule(stock.thickness_len), both_units(stock.thickness_len)
        found.append(
            f"it hardly changes and is still {off:.1f} % from the equilibrium of the air: not settled;"
            f" stock {thick} thick that changes {MOST_CHANGE} % in {WINDOW_D:.0f} days is still {slow:.1f} %"
            " away by diffusion; or the meter is off"
        )
    if too_fast:
        found.append(
            f"the readings fall or rise faster than stock {both_units(stock.thickness_len)} thick can:"
            " not settled; they tell of its outside, so set the pins at a fifth to a quarter of the thickness"
        )
    return tuple(found)


def _notes(
    stock: Stock, why_not: str, settled: bool, spread: Decimal | None, *, over: bool
) -> tuple[str, ...]:
    """Return what the reader must know about the times: on which readings and rules they rest."""
    found = ["settled by the rule; take one more reading before milling"] if settled else []
    if why_not and not settled:
        usual = "the usual time by thickness is over: take a reading in a week" if over else BY_DIFFUSION
        found.append(f"{why_not}: {usual}")
    if stock.thickness_len >= THICK_LEN:
        found.append(
            "thick stock: a meter on the surface reads the air; pins at a fifth to a quarter of the thickness"
            f" read its mean ({PRACTICE})"
        )
    if any(each.correction_pct is None for each in stock.readings):
        found.append("enter each reading's correction for species and temperature: some have none")
    if spread is None:
        found.append("read several strips at once to know their spread: the last reading is of one")
    return tuple(found)
