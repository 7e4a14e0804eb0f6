"""Days until stock meets the rule for settled wood: by the curve of its readings, or by its thickness.

The rule is common practice; no printed source is known. The estimate by thickness is that of a slab.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, log

from calcs.tables import PRACTICE
from calcs.wood.exponential_fit import ExponentialFit, allowed_fits, fit_exponential
from calcs.wood.settling_inputs import WINDOW_D
from calcs.wood.slab import DIFFUSION_M2_S, SPREAD_OF_DIFFUSION, first_day, slab

Points = Sequence[tuple[float, float]]
MOST_CHANGE = 0.5
NEAR_EMC = 1.0
WANTED_SPREAD = 1.0
BIAS = 0.5
RULE = (
    f"settled: change of {MOST_CHANGE} % at most in {WINDOW_D:.0f} days, mean within {NEAR_EMC:.0f} % of the"
    f" equilibrium of the air, spread of {WANTED_SPREAD:.0f} % at most over the strips, 2 % stops: {PRACTICE}"
)


@dataclass(frozen=True, kw_only=True)
class Days:
    """Days since the first reading on which the rule is met [d].

    Attributes
    ----------
    earliest : float
        Earliest day.
    likely, latest : float or None
        Likely and latest day; None where nothing bounds them.
    """

    earliest: float
    likely: float | None
    latest: float | None


def by_curve(points: Points, emc: float, *, last: float, spread: float) -> Days | None:
    """Return the days on which the rule is met by the curve of the readings; None where no curve fits.

    Parameters
    ----------
    points : sequence of (float, float)
        Days and moistures [d, %].
    emc : float
        Equilibrium of the air [%].
    last : float
        Day of the last reading [d].
    spread : float
        Difference between the strips then [%]; it fades at the rate of the curve.

    Returns
    -------
    Days or None
        Days since the first reading [d].

    Notes
    -----
    The likely day is that of the best fit. The range covers every allowed fit at the equilibrium and half a
    point either side, as a meter may be off. ``latest`` is None where the slowest rate of the grid is still
    allowed.
    """
    best = fit_exponential(points, emc)
    if best is None:
        return None

    def ready(fit: ExponentialFit, shift: float) -> float:
        alike = last + log(spread / WANTED_SPREAD) / fit.rate if spread > WANTED_SPREAD else last
        return max(_ready(fit, shift), alike)

    likely = ready(best, 0.0)
    found = [likely]
    open_ended = False
    for shift in (0.0, -BIAS, BIAS):
        for each in allowed_fits(points, emc + shift):
            found.append(ready(each, shift))
            open_ended = open_ended or each.slowest
    return Days(earliest=min(found), likely=likely, latest=None if open_ended else max(found))


def by_thickness(thickness_len: int, *, off: float, last: float, spread: float, uniform: bool) -> Days:
    """Return the days on which a slab of this thickness meets the rule, by diffusion.

    Parameters
    ----------
    thickness_len : int
        Thickness [1/8 µm].
    off : float
        Distance of the mean from the equilibrium at the last reading [%].
    last : float
        Day of the last reading [d].
    spread : float
        Difference between the strips then [%].
    uniform : bool
        True where the stock was alike all through at that reading, as it comes from a kiln; else it is on the
        exponential part of its course.

    Returns
    -------
    Days
        Days since the first reading [d], never before a week of readings is there.

    Notes
    -----
    The diffusion coefficient is taken once, half and double. Slow stock may meet the change of a week first.
    The rule is met where the change of the seven days before, the distance and the spread are small enough.
    """

    def ready(diffusion_m2_s: float) -> float:
        of = slab(thickness_len, diffusion_m2_s=diffusion_m2_s)
        share: Callable[[float], float] = of.uniform if uniform else of.steady

        def met(days: float) -> bool:
            left = share(days)
            slow = off * (share(days - WINDOW_D) - left) <= MOST_CHANGE
            return slow and off * left <= NEAR_EMC and spread * left <= WANTED_SPREAD

        return last + first_day(met, least=WINDOW_D if uniform else max(0.0, WINDOW_D - last))

    fast, slow = DIFFUSION_M2_S * SPREAD_OF_DIFFUSION, DIFFUSION_M2_S / SPREAD_OF_DIFFUSION
    found = [ready(each) for each in (fast, DIFFUSION_M2_S, slow)]
    return Days(earliest=min(found), likely=found[1], latest=max(found))


def days_to_near(thickness_len: int, *, off: float) -> float:
    """Return the days in which a slab comes within 1 % of the equilibrium, from alike all through [d].

    Parameters
    ----------
    thickness_len : int
        Thickness [1/8 µm].
    off : float
        Distance from the equilibrium at first [%].

    Notes
    -----
    The change of a week is left out: this is for boards that nobody reads, and is the least that they need.

    Examples
    --------
    2 in at 3.5 % away: the series leaves 8/π² exp(-0.0496 t), so ln(0.811 x 3.5) / 0.0496 = 21.0 days.

    >>> from calcs.kit.units import inches
    >>> round(days_to_near(inches(2), off=3.5), 1)
    21.0
    """
    of = slab(thickness_len)
    return first_day(lambda days: off * of.uniform(days) <= NEAR_EMC)


def is_too_fast(means: Points, emc: float, thickness_len: int) -> bool:
    """Return whether readings run faster towards the equilibrium than diffusion lets this thickness.

    Parameters
    ----------
    means : sequence of (float, float)
        Means of the strips at each time of reading [d, %].
    emc : float
        Equilibrium of the air [%].
    thickness_len : int
        Thickness [1/8 µm].

    Notes
    -----
    Such readings are of the outside: the mean of a board cannot be there yet. Twice the error of a meter is
    allowed beyond what twice the usual diffusion gives.
    """
    (first_d, first), (last_d, last) = means[0], means[-1]
    towards = first - last if first > emc else last - first
    fast = slab(thickness_len, diffusion_m2_s=DIFFUSION_M2_S * SPREAD_OF_DIFFUSION)
    return towards > abs(first - emc) * (1 - fast.uniform(last_d - first_d)) + 2 * BIAS


def away_at_rule(thickness_len: int) -> float:
    """Return how far from the equilibrium stock still is when it changes by 0.5 % in 7 days [%].

    Examples
    --------
    Trade figures for 1, 2, 3 and 4 in: 0.2, 1.2, 3.0 and 5.5 %.

    >>> from calcs.kit.units import inches
    >>> [round(away_at_rule(inches(n)), 1) for n in (1, 2, 3, 4)]
    [0.2, 1.2, 3.0, 5.5]
    """
    return slab(thickness_len).away_at_change(MOST_CHANGE, WINDOW_D)


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
