"""Equivalent age: how far a joint or a coat has hardened over any air, and when it gets there.

Small pure functions over lists of intervals; every time is in seconds from the start of the history. One
second in this air counts as ``rate`` seconds in the air of the product's sheet. The sum is the equivalent
age. A step is reached when its equivalent age is the time on the sheet.

References
----------
.. [1] ASTM C1074, equivalent age; Nurse 1949 and Saul 1951 for the sum over intervals. Written for concrete,
   borrowed here (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp
from typing import NamedTuple

from calcs.curing.rates import Law, rate

_PIECES = 4  # of a lag; the mean over a quarter of it stands for the curve
_SETTLED = 8  # lags after which the wood is taken at the air's temperature


class Interval(NamedTuple):
    """Stretch of steady air.

    Attributes
    ----------
    duration_s : float
        How long it lasts [s].
    temp_c : float
        Temperature [°C].
    rh_pct : float
        Relative humidity [%].
    """

    duration_s: float
    temp_c: float
    rh_pct: float


def progress(law: Law, history: Iterable[Interval]) -> float:
    """Return the equivalent age at the end of a history [s]: the same hardening in the sheet's air.

    Parameters
    ----------
    law : Law
        Rate of one step of one product.
    history : iterable of Interval
        Air so far, in order.

    Returns
    -------
    float
        Equivalent age [s]; 0 for an empty history.

    Notes
    -----
    t_e = Σ rate(T_i, RH_i) Δt_i. For a curve, give intervals that are short against its changes, with their
    mean.

    References
    ----------
    .. [1] ASTM C1074, equivalent age; Nurse 1949 and Saul 1951 for the sum over intervals. Written for
       concrete, borrowed here (from memory).
    """
    return sum(duration * rate(law, temp_c, rh_pct) for duration, temp_c, rh_pct in history)


def reach(
    law: Law, history: Iterable[Interval], forecast: Iterable[Interval], need_s: float | None = None
) -> float | None:
    """Return when an equivalent age is reached [s from the start]; None if not before the forecast ends.

    Parameters
    ----------
    law : Law
        Rate of one step of one product.
    history, forecast : iterable of Interval
        Air so far, and the air expected after it.
    need_s : float, optional
        Equivalent age wanted [s]; the law's own by default.

    Returns
    -------
    float or None
        Elapsed time [s], inside the interval in proportion.

    Notes
    -----
    Within an interval the rate is constant, so the moment is exact for the intervals given.
    """
    left = law.need_s if need_s is None else need_s
    passed = 0.0
    for part in (history, forecast):
        for duration, temp_c, rh_pct in part:
            speed = rate(law, temp_c, rh_pct)
            if speed * duration >= left:
                return passed + (left / speed if speed else 0.0)
            left -= speed * duration
            passed += duration
    return None


def first_below(least_c: float, history: Iterable[Interval]) -> float | None:
    """Return when it is first colder than a temperature [s from the start]; None if never.

    Parameters
    ----------
    least_c : float
        Temperature that counts as cold when undercut [°C].
    history : iterable of Interval
        Air in order.
    """
    passed = 0.0
    for duration, temp_c, _ in history:
        if temp_c < least_c and duration > 0:
            return passed
        passed += duration
    return None


def in_wood(history: Sequence[Interval], *, lag_s: float, wood_c: float | None = None) -> list[Interval]:
    """Return the temperatures of a glue line while the wood follows the air.

    Parameters
    ----------
    history : sequence of Interval
        Air in order.
    lag_s : float
        See `calcs.curing.heat_lag.lag_of` [s].
    wood_c : float, optional
        Wood at the start [°C]; as the first air by default.

    Returns
    -------
    list of Interval
        The same stretch of time in more pieces, each with its mean temperature.

    Notes
    -----
    First order: wood - air falls by exp(-t / lag). The mean over a piece of length d is exact,
    air + (wood - air) (lag / d) (1 - exp(-d / lag)). A law that is not a straight line sees the mean only;
    for quarters of a lag the error is within a thousandth. After eight lags the wood is taken as warm as the
    air.
    """
    wood = wood_c if wood_c is not None else (history[0].temp_c if history else 0.0)
    found: list[Interval] = []
    for duration, air_c, rh_pct in history:
        left = duration
        until = duration - _SETTLED * lag_s
        while left > max(until, 0) and abs(wood - air_c) > 1e-3:
            step = min(left, lag_s / _PIECES)
            fade = exp(-step / lag_s)
            found.append(Interval(step, air_c + (wood - air_c) * lag_s / step * (1 - fade), rh_pct))
            wood = air_c + (wood - air_c) * fade
            left -= step
        if left > 0:
            found.append(Interval(left, air_c, rh_pct))
            wood = air_c + (wood - air_c) * exp(-left / lag_s)
    return found
