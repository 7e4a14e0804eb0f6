"""Least squares of an exponential approach to a known end, and every fit that the data allow.

The model is value(t) = end + start exp(-rate t), with ``end`` known and ``start`` and ``rate`` wanted. For a
given rate the best start is a linear problem. So only the rate is searched, between 0.002 and 3 per unit of
time.

References
----------
.. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: critical values of Student's t.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, log, sqrt

Data = Sequence[tuple[float, float]]

SLOWEST, FASTEST = 0.002, 3.0
_GRID = 200
METER_SD = 0.25
"""Standard deviation with which a meter repeats [%]; common practice, no source."""
# Student's t, 5 % above, 1 to 30 degrees of freedom: any table, such as NIST/SEMATECH e-Handbook 1.3.6.7.2.
T_95 = (
    6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812,
    1.796, 1.782, 1.771, 1.761, 1.753, 1.746, 1.740, 1.734, 1.729, 1.725,
    1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697,
)  # fmt: skip
Z_95 = 1.645


@dataclass(frozen=True, kw_only=True)
class ExponentialFit:
    """One fitted curve: value = end + ``start`` exp(-``rate`` t).

    Attributes
    ----------
    start : float
        Distance from the end at time zero, in the unit of the values; negative where the values rise.
    rate : float
        Share of the distance lost per unit of time, at first.
    squares : float
        Sum of the squared residuals, in the square of that unit.
    slowest : bool
        True where ``rate`` is the slowest one tried: the true rate may be slower still.
    """

    start: float
    rate: float
    squares: float
    slowest: bool = False


def fit_exponential(data: Data, end: float) -> ExponentialFit | None:
    """Return the curve with the least sum of squares; None where the data do not approach the end.

    Parameters
    ----------
    data : sequence of (float, float)
        Times and values, in any units.
    end : float
        Value that the data approach.

    Returns
    -------
    ExponentialFit or None
        None where the best rate lies at either end of the grid.

    Notes
    -----
    The rate is searched on a grid of 201 values, evenly spaced in its logarithm from 0.002 to 3. The best one
    and its neighbours then bracket a golden section search, down to 1e-8 in the logarithm.

    Examples
    --------
    Values that halve in each unit of time have the rate ln 2 = 0.693.

    >>> round(fit_exponential([(0, 8.0), (1, 4.0), (2, 2.0), (3, 1.0)], 0.0).rate, 3)
    0.693
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
    """Return every curve of the grid that the data allow with a chance of nine in ten.

    Parameters
    ----------
    data : sequence of (float, float)
        Times and values; three at least.
    end : float
        Value that the data approach.

    Returns
    -------
    list of ExponentialFit
        All with a sum of squares near enough to the least one; slowest first.

    Notes
    -----
    A fit is allowed where S - S_least <= max(s² t², 0.25² z²). Here s² = S_least / (n - 2), t is Student's 95
    % value for n - 2 degrees of freedom, and z = 1.645. The second term stops a lucky fit from looking surer
    than a meter can be. Few data give a larger t and so a wider range.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: critical values of Student's t.
    """
    tried = [_at(data, end, rate) for rate in _rates()]
    least = min(each.squares for each in tried)
    free = len(data) - 2
    student = T_95[min(free, len(T_95)) - 1]
    most = least + max(least / free * student**2, METER_SD**2 * Z_95**2)
    return [each for each in tried if each.squares <= most]


@cache
def _rates() -> tuple[float, ...]:
    """Return 201 rates from 0.002 to 3 per unit of time, in even steps of the logarithm."""
    span = log(FASTEST / SLOWEST)
    return tuple(SLOWEST * exp(span * n / _GRID) for n in range(_GRID + 1))


def _at(data: Data, end: float, rate: float) -> ExponentialFit:
    """Return the best curve for one rate.

    Notes
    -----
    With f = exp(-rate t) and y = value - end, least squares give start = Σ f y / Σ f².
    """
    faded = [(exp(-rate * time), value - end) for time, value in data]
    along = across = squares = 0.0  # plain loops: hundreds of rates are tried
    for fade, off in faded:
        along += fade * off
        across += fade * fade
    start = along / across
    for fade, off in faded:
        squares += (off - start * fade) ** 2
    return ExponentialFit(start=start, rate=rate, squares=squares, slowest=rate <= SLOWEST)
