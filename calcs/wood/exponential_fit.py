"""Least squares of an exponential approach, with what the data allow besides the best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, log, sqrt

Data = Sequence[tuple[float, float]]

SLOWEST, FASTEST = 0.002, 3.0
_GRID = 200
METER_SD = 0.25
"""How closely a meter repeats, standard deviation [%]; common practice, no source."""
# Student's t, 5 % above, 1 to 30 degrees of freedom: any table, such as NIST/SEMATECH e-Handbook 1.3.6.7.2.
T_95 = (
    6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812,
    1.796, 1.782, 1.771, 1.761, 1.753, 1.746, 1.740, 1.734, 1.729, 1.725,
    1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697,
)  # fmt: skip
Z_95 = 1.645


@dataclass(frozen=True, kw_only=True)
class ExponentialFit:
    """value = end + ``start`` exp(-``rate`` t); ``slowest`` if the rate is at the end of what was tried."""

    start: float
    rate: float
    squares: float
    slowest: bool = False


def fit_exponential(data: Data, end: float) -> ExponentialFit | None:
    """The best start and rate for data (time, value) that approach ``end``; None if they do not approach it.

    Notes
    -----
    For each rate the best start is a linear fit, so one rate is looked for: on a grid from 0.002 to 3 per
    unit of time, then by golden section.
    """
    tried = [_at(data, end, rate) for rate in _rates()]
    n = min(range(len(tried)), key=lambda each: tried[each].squares)
    if n in (0, len(tried) - 1):
        return None
    low, high = log(tried[n - 1].rate), log(tried[n + 1].rate)
    golden = (sqrt(5) - 1) / 2
    while high - low > 1e-8:
        left, right = high - golden * (high - low), low + golden * (high - low)
        if _at(data, end, exp(left)).squares < _at(data, end, exp(right)).squares:
            high = right
        else:
            low = left
    return _at(data, end, exp((low + high) / 2))


def allowed_fits(data: Data, end: float) -> list[ExponentialFit]:
    """Every approach of the grid that the data allow: nine in ten, by the sum of squares over the best.

    Notes
    -----
    The scatter is that of the data, or that of a meter if this is more; few data need more of it (Student).
    """
    tried = [_at(data, end, rate) for rate in _rates()]
    least = min(each.squares for each in tried)
    free = len(data) - 2
    student = T_95[min(free, len(T_95)) - 1]
    most = least + max(least / free * student**2, METER_SD**2 * Z_95**2)
    return [each for each in tried if each.squares <= most]


@cache
def _rates() -> tuple[float, ...]:
    span = log(FASTEST / SLOWEST)
    return tuple(SLOWEST * exp(span * n / _GRID) for n in range(_GRID + 1))


def _at(data: Data, end: float, rate: float) -> ExponentialFit:
    faded = [(exp(-rate * time), value - end) for time, value in data]
    along = across = squares = 0.0  # plain loops: hundreds of rates are tried
    for fade, off in faded:
        along += fade * off
        across += fade * fade
    start = along / across
    for fade, off in faded:
        squares += (off - start * fade) ** 2
    return ExponentialFit(start=start, rate=rate, squares=squares, slowest=rate <= SLOWEST)
