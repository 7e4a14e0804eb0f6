"""Equivalent age: how far something has come over any temperatures and humidities, and when it gets there.

Small pure functions over lists of intervals; everything is seconds from the start of the history.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp
from typing import NamedTuple

from calcs.curing.rates import Law, rate
from calcs.kit.units import UNITS_PER_INCH

LAG_S = 3600.0
LAG_THICKNESS_LEN = UNITS_PER_INCH * 7 // 4
LAG_SOURCE = (
    "wood follows the air within about 1 h at 1 3/4 in, an estimate, and with the square of the thickness:"
    " common practice, no source"
)
LAG_OFF = 2.0
"""How many times sooner or later wood may follow: free in a draught, or under cauls with one face on a bench,
which halves the face that takes up heat: common practice, no source."""
_PIECES = 4  # of a lag; the mean over a quarter of it stands for the curve
_SETTLED = 8  # lags after which the wood is taken at the air's temperature


class Interval(NamedTuple):
    """A stretch of steady air: duration [s], temperature [°C], relative humidity [%]."""

    duration_s: float
    temp_c: float
    rh_pct: float


def progress(law: Law, history: Iterable[Interval]) -> float:
    """Equivalent age at the end of a history [s]: the same hardening in the sheet's own air.

    Parameters
    ----------
    law : Law
    history : iterable of Interval

    Notes
    -----
    Sum of rate x duration. For a curve give intervals short against its changes, with their mean.

    References
    ----------
    .. [1] ASTM C1074, equivalent age; Nurse 1949 and Saul 1951 for the sum over intervals. Written for
       concrete, borrowed here.
    """
    return sum(duration * rate(law, temp_c, rh_pct) for duration, temp_c, rh_pct in history)


def reach(
    law: Law, history: Iterable[Interval], forecast: Iterable[Interval], need_s: float | None = None
) -> float | None:
    """When an equivalent age is reached [s from the start]; None if not before the forecast ends.

    Parameters
    ----------
    law : Law
    history, forecast : iterable of Interval
        What was, and what is expected after it.
    need_s : float, optional
        Equivalent age wanted [s]; the law's own unless told.
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
    """When it is first colder than ``least_c`` [°C], in seconds from the start; None if never."""
    passed = 0.0
    for duration, temp_c, _ in history:
        if temp_c < least_c and duration > 0:
            return passed
        passed += duration
    return None


def lag_of(thickness_len: int) -> float:
    """Time in which wood of a thickness [1/8 µm] makes up 63 % of a step in the air's temperature [s].

    An estimate.
    """
    return LAG_S * (thickness_len / LAG_THICKNESS_LEN) ** 2


def in_wood(history: Sequence[Interval], *, lag_s: float, wood_c: float | None = None) -> list[Interval]:
    """The temperatures a glue line has while the wood follows the air, first order.

    Parameters
    ----------
    history : sequence of Interval
        The air.
    lag_s : float
        See `lag_of` [s].
    wood_c : float, optional
        The wood at the start [°C]; as the first air unless told.

    Returns
    -------
    list of Interval
        The same stretch of time in more pieces, each with its mean. Far off the air the mean of a piece is
        exact; its use in a law that is not straight is within a thousandth for the pieces taken.
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
