"""Drying of a board through its two faces, by Fick's law for a slab.

It says how long stock of a thickness takes to the moisture of its air, and how far away it still is when it
hardly changes any more. Thick stock changes so slowly that a small change in a week says little about it.

References
----------
.. [1] Crank, J., The Mathematics of Diffusion, 2nd ed., 1975, eq. 4.18: plane sheet, surfaces held constant.
.. [2] Sonderegger et al., Holzforschung 65(6), 2011, 819-828: transient diffusion coefficients across the
   grain of Norway spruce and European beech (abstract read, figures from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, pi

from calcs.kit.units import UNITS_PER_MM

DAY_S = 86400
DIFFUSION_M2_S = 1.5e-10
SPREAD_OF_DIFFUSION = 2.0
DIFFUSION_SOURCE = (
    "diffusion through a slab (Fick; Crank 1975, eq. 4.18) with 1.5e-10 m²/s across the grain at about 20 °C,"
    " half to double of it for the range: between beech and spruce in Sonderegger et al., Holzforschung 65,"
    " 2011 (abstract read, figures from memory); boards on stickers, both faces in the air"
)
_LONGEST_D = 20_000.0
_TERMS = 60


@dataclass(frozen=True, kw_only=True)
class Slab:
    """A board that dries or takes up water through both faces.

    Attributes
    ----------
    rate_d : float
        Rate at which the mean moisture approaches its end once the course is exponential [1/d].
    """

    rate_d: float

    def uniform(self, days: float) -> float:
        """Return the share of the way still to go after some days, from a moisture alike all through.

        Parameters
        ----------
        days : float
            Days since the air became what it is [d]; the whole way is left before.

        Returns
        -------
        float
            Distance of the mean moisture from its end over the distance at first.

        Notes
        -----
        E = sum of 8 / ((2n + 1)² π²) exp(-(2n + 1)² rate t), n from 0 [1].

        Examples
        --------
        Half of the way is gone at D t / L² = 0.0492 (Crank 1975, eq. 4.20: 0.04919).

        >>> round(slab(UNITS_PER_MM * 1000, diffusion_m2_s=1 / DAY_S).uniform(0.04919), 3)
        0.5
        """
        if days <= 0:
            return 1.0
        odd = (2 * n + 1 for n in range(_TERMS))
        return sum(8 / (k * k * pi * pi) * exp(-k * k * self.rate_d * days) for k in odd)

    def steady(self, days: float) -> float:
        """Return the share of the way still to go after some days, on the exponential part of the course.

        Parameters
        ----------
        days : float
            Days from now [d]; negative ones lie in the past.

        Notes
        -----
        After the first fifth of the way only the first term of the series is left, so every later share is
        the one before times exp(-rate t).
        """
        return exp(-self.rate_d * days)

    def away_at_change(self, change: float, window_d: float) -> float:
        """Return how far away the mean still is when it changed by so much in the last days [%].

        Parameters
        ----------
        change, window_d : float
            Change [%], and the days in which it happened [d].

        Notes
        -----
        Of a course a(t) = a exp(-rate t) the change in the last w days is a (exp(rate w) - 1). A thick board
        has a small rate, so a small change leaves it far away.
        """
        return change / (exp(self.rate_d * window_d) - 1)


def slab(thickness_len: int, *, diffusion_m2_s: float = DIFFUSION_M2_S) -> Slab:
    """Return the slab of a thickness.

    Parameters
    ----------
    thickness_len : int
        Thickness between the two faces [1/8 µm].
    diffusion_m2_s : float
        Diffusion coefficient across the grain [m²/s].

    Notes
    -----
    Rate = π² D / L², with both faces in the air. Ends and edges are left out: a board is
    much longer and wider than it is thick.

    Examples
    --------
    An inch comes nearer by 0.2 of the way a day: π² x 1.5e-10 x 86400 / 0.0254² = 0.198.

    >>> from calcs.kit.units import inches
    >>> round(slab(inches(1)).rate_d, 3)
    0.198
    """
    thickness_m = thickness_len / (1000 * UNITS_PER_MM)
    return Slab(rate_d=pi**2 * diffusion_m2_s * DAY_S / thickness_m**2)


def first_day(holds: Callable[[float], bool], *, least: float = 0.0) -> float:
    """Return the first day from ``least`` on at which a condition holds, which then holds for good [d].

    Parameters
    ----------
    holds : callable
        Condition of a day; once it holds it must go on to hold.
    least : float
        First day to try [d].

    Notes
    -----
    The day is doubled until the condition holds, and then halved down between the last two. After fifty years
    the search ends there.

    Examples
    --------
    >>> round(first_day(lambda day: day >= 12.5), 3)
    12.5
    """
    low, high = least, max(1.0, least)
    if holds(low):
        return low
    while not holds(high) and high < _LONGEST_D:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high
