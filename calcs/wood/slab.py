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
        """Return the share of the way still to go after some days, on the exponential part of the course."""
        return exp(-self.rate_d * days)

    def away_at_change(self, change: float, window_d: float) -> float:
        """Return how far away the mean still is when it changed by so much in the last days [%].

        Parameters
        ----------
        change, window_d : float
            Change [%], and the days in which it happened [d].
        """
        return change / (exp(self.rate_d * window_d) - 1)


def slab(thickness_len: int, *, diffusion_m2_s: float = DIFFUSION_M2_S) -> Slab:
    """Return the slab of a thickness [1/8 µm].

    Notes
    -----
    Rate = π² D / L², with both faces in the air.
    """
    thickness_m = thickness_len / (1000 * UNITS_PER_MM)
    return Slab(rate_d=pi**2 * diffusion_m2_s * DAY_S / thickness_m**2)


def first_day(holds: Callable[[float], bool], *, least: float = 0.0) -> float:
    """Return the first day from ``least`` on at which a condition holds, which then holds for good [d]."""
    low, high = least, max(1.0, least)
    if holds(low):
        return low
    while not holds(high) and high < _LONGEST_D:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high
