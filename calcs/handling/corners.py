"""Plane geometry of a slab on its way: an upright rectangle in an opening, a long one round a corner.

All lengths are in one unit, any; angles in radians.

References
----------
.. [1] J. E. Wetzel, "Rectangles in Rectangles", Mathematics Magazine 73 (2000), 204-211, after W. B. Carver
   (1957).
"""

from __future__ import annotations

from collections.abc import Callable
from math import acos, atan2, cos, hypot, pi, sin

_SAMPLES = 256
_STEPS = 60
_GOLDEN = 0.6180339887498949


def narrowest(long: float, short: float, height: float) -> tuple[float, float] | None:
    """Return the narrowest opening of a height that a rectangle passes, and its lean from upright.

    Parameters
    ----------
    long, short : float
        Sides of the rectangle, in either order.
    height : float
        Height of the opening.

    Returns
    -------
    tuple of float, or None
        Width of the opening and lean [rad]; None where even the short side is higher than the opening.

    Notes
    -----
    Leaning by an angle, the rectangle is long cos + short sin high and long sin + short cos wide. Beyond the
    angle at which it is as low as the opening it only grows wider, until near lying flat it is ``long`` wide.

    References
    ----------
    .. [1] J. E. Wetzel, "Rectangles in Rectangles", Mathematics Magazine 73 (2000), 204-211, after
       W. B. Carver (1957): p x q goes into a x b, where p > a, if
       b >= (2pqa + (p² - q²) sqrt(p² + q² - a²)) / (p² + q²).

    Examples
    --------
    >>> width, lean = narrowest(5, 0, 4)
    >>> round(width, 6)
    3.0
    """
    long, short = max(long, short), min(long, short)
    if long <= height:
        return short, 0.0
    if short > height:
        return None
    lean = atan2(short, long) + acos(height / hypot(long, short))
    wide = long * sin(lean) + short * cos(lean)
    return (wide, lean) if wide < long else (long, pi / 2)


def longest_round(into: float, out: float, thick: float) -> float | None:
    """Return the longest rectangle of a thickness that goes round a right-angled corner between two
    corridors.

    Parameters
    ----------
    into, out : float
        Widths of the corridors.
    thick : float
        Thickness of the rectangle.

    Returns
    -------
    float or None
        None where it does not even fit into both corridors.

    Notes
    -----
    Turning, its outer long side slides along both outer walls. At the angle t from one of them the inner
    corner lies into·sin t + out·cos t - L·sin t·cos t from that side. The longest L is the least over t of
    (into·sin t + out·cos t - thick) / (sin t·cos t). A rectangle no longer than a corridor is wide may
    instead be shoved into it sideways.

    References
    ----------
    .. [1] The ladder problem; for no thickness (into^(2/3) + out^(2/3))^(3/2), in any calculus text.

    Examples
    --------
    >>> round(longest_round(1, 1, 0), 6)
    2.828427
    """
    if thick > min(into, out):
        return None
    turned = _least(lambda t: (into * sin(t) + out * cos(t) - thick) / (sin(t) * cos(t)))
    return max(turned, into, out)


def _least(value: Callable[[float], float]) -> float:
    """Return the least value between 0 and a right angle: the best of many samples, then golden section."""
    angles = [pi / 2 * (n + 0.5) / _SAMPLES for n in range(_SAMPLES)]
    best = min(range(_SAMPLES), key=lambda n: value(angles[n]))
    low, high = angles[max(best - 1, 0)], angles[min(best + 1, _SAMPLES - 1)]
    for _ in range(_STEPS):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        if value(left) < value(right):
            high = right
        else:
            low = left
    return min(value((low + high) / 2), value(angles[best]))
