"""A maker's own times at several temperatures: checks, and the law fitted through them.

The law is Arrhenius: ln(time) is a straight line in 1/temperature, with the slope ``rate_k`` in kelvin.

References
----------
.. [1] ASTM C1074, equivalent age, Arrhenius form: written for concrete, borrowed here (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import exp, log

from calcs.kit.errors import OutOfRange
from calcs.kit.validators import decimal, one_of, whole

FEWEST, MOST = 2, 6
ZERO_C_K = 273.15
STEEPEST_K = 40_000
"""Steeper than any sheet read: about a hundredfold for 10 °C is a slip of the pen."""


@dataclass(frozen=True, kw_only=True)
class Point:
    """One figure of a maker's sheet: the time of a step at a steady temperature.

    Parameters
    ----------
    step : str
        Such as "unclamp" or "recoat_from".
    temp_c : Decimal
        Temperature [°C].
    time_s : int
        Time [s].
    """

    step: str
    temp_c: Decimal
    time_s: int


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Arrhenius law nearest to some points.

    Attributes
    ----------
    rate_k : float
        Activation energy over gas constant [K]; larger means more effect of temperature.
    misfit : float
        Largest factor between the law and a point, less 1; 0 through two points.
    """

    rate_k: float
    misfit: float


def check_points(points: Iterable[Point], *, steps: Sequence[str], least_c: Decimal, most_c: Decimal) -> None:
    """Refuse points that no product can have.

    Parameters
    ----------
    points : iterable of Point
        Points of all steps.
    steps : sequence of str
        Steps the product has.
    least_c, most_c : Decimal
        Its temperatures of use [°C].

    Raises
    ------
    Unknown
        For a step that the product does not have.
    Unreadable, OutOfRange
        For a temperature outside its use, or given twice; for fewer than 2 or more than 6 temperatures of a
        step. Also for a step that takes longer where it is warmer, or far longer where it is little colder.
    """
    found: dict[str, list[Point]] = {}
    for n, point in enumerate(points, start=1):
        field = f"points[{n}]"
        one_of(point.step, f"{field}.step", steps)
        decimal(point.temp_c, f"{field}.temp", least=str(least_c), most=str(most_c))
        whole(point.time_s, f"{field}.time", least=1, most=3650 * 86400)
        found.setdefault(point.step, []).append(point)
    for step, mine in found.items():
        _check_step(step, sorted(mine, key=lambda p: p.temp_c))


def fit(points: Sequence[Point]) -> Fit:
    """Return the least squares fit of ln(time) against 1/temperature; exact through two points.

    Parameters
    ----------
    points : sequence of Point
        Two or more temperatures of one step.

    Returns
    -------
    Fit
        Slope [K] and the largest misfit.

    Notes
    -----
    Time = constant x exp(rate_k / T), T in kelvin. Slope = Σ (x - x̄)(y - ȳ) / Σ (x - x̄)², with x = 1/T and
    y = ln(time). It holds between the coldest and the warmest point. Colder is a guess, and warmer is not
    used to shorten a time.

    References
    ----------
    .. [1] ASTM C1074, equivalent age, Arrhenius form: written for concrete, borrowed here (from memory).
    """
    at = [placed(point) for point in points]
    mean_x, mean_y = (sum(column) / len(at) for column in zip(*at, strict=True))
    slope = sum((x - mean_x) * (y - mean_y) for x, y in at) / sum((x - mean_x) ** 2 for x, _ in at)
    off = max(abs(y - mean_y - slope * (x - mean_x)) for x, y in at)
    return Fit(rate_k=slope, misfit=exp(off) - 1)


def placed(point: Point) -> tuple[float, float]:
    """Return a point where the law is a straight line: 1/temperature [1/K] and ln(time in s)."""
    return 1 / (float(point.temp_c) + ZERO_C_K), log(point.time_s)


def _check_step(step: str, mine: list[Point]) -> None:
    """Refuse the points of one step, sorted by temperature, where they break a rule of `check_points`."""
    temps = [point.temp_c for point in mine]
    if len(set(temps)) < len(temps) or not FEWEST <= len(temps) <= MOST:
        raise _refused(step, f"{len(temps)} points", f"{FEWEST} to {MOST} different temperatures for a step")
    for colder, warmer in pairwise(mine):
        if warmer.time_s > colder.time_s:
            said = f"{warmer.time_s} s at {warmer.temp_c} °C"
            raise _refused(step, said, f"at most the {colder.time_s} s of {colder.temp_c} °C")
        if fit((colder, warmer)).rate_k > STEEPEST_K:
            said = f"{colder.time_s} s at {colder.temp_c} °C and {warmer.time_s} s at {warmer.temp_c} °C"
            raise _refused(step, said, "times that change less from one temperature to the next")


def _refused(step: str, said: str, allowed: str) -> OutOfRange:
    """Return the refusal of points: the step, the figures at fault, and the limit."""
    return OutOfRange(
        f"points of {step}: {said} is out of range: {allowed}", field="points", value=said, allowed=allowed
    )
