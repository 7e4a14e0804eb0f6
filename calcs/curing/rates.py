"""Rate at which a joint or a coat hardens, relative to the air of the product's own sheet.

A rate of 1 is the speed at the sheet's temperature and 50 % RH. Reactions follow Arrhenius; drying follows
the vapour-pressure deficit of the air; moisture cure follows its vapour pressure.

References
----------
.. [1] ASTM C1074, equivalent age in Arrhenius form: written for concrete, borrowed here (from memory).
.. [2] ASHRAE Handbook Fundamentals, 2017, ch. 1: saturation pressure of water, by PsychroLib.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import pairwise
from math import exp, log

import psychrolib

from calcs.curing.points import ZERO_C_K

REF_SHARE = 0.5
"""Of the water that saturated air would hold, in the air of a sheet: 50 % RH, so 50 % is lacking too."""

psychrolib.SetUnitSystem(psychrolib.SI)


@dataclass(frozen=True, kw_only=True, slots=True)
class Law:
    """Rate of one step of one product.

    Parameters
    ----------
    need_s : float
        Time at the sheet's own temperature and 50 % RH: the equivalent age at which the step is reached [s].
    ref_temp_c, least_c : float
        Temperature of the figures, and least of use [°C]; below it nothing counts.
    driver : str
        "temperature", "moisture", "drying" or "temperature and drying".
    at : tuple of (float, float)
        The sheet's points, 1/temperature [1/K] and ln(time [s]), the coldest first; often one.
    rate_k : float
        Activation energy over gas constant outside the points [K].
    slower, faster : float
        Exponent of the law where it is slower, or faster, than at the sheet's points; ``faster`` 0 never
        shortens what the sheet says.
    ref_pa : float
        Vapour pressure of water in, or lacking to, the sheet's own air [Pa].
    """

    need_s: float
    ref_temp_c: float
    least_c: float
    driver: str
    at: tuple[tuple[float, float], ...]
    rate_k: float
    slower: float
    faster: float = 0.0
    ref_pa: float = 0.0


def rate(law: Law, temp_c: float, rh_pct: float) -> float:
    """Return how many seconds of the sheet's air one second of this air is worth.

    Parameters
    ----------
    law : Law
        Rate of one step.
    temp_c, rh_pct : float
        Temperature [°C] of air, or of the wood around a glue line; relative humidity [%].

    Returns
    -------
    float
        Zero below the law's least temperature.

    Notes
    -----
    By driver: Arrhenius for temperature; vapour pressure for moisture; vapour-pressure deficit for drying.
    With "temperature and drying" the slower of the two counts.
    """
    if temp_c < law.least_c:
        return 0.0
    if law.driver == "temperature":
        return by_temperature(law, temp_c)
    if law.driver == "moisture":
        return _by_water(law, temp_c, rh_pct / 100)
    dry = _by_water(law, temp_c, 1 - rh_pct / 100)
    return dry if law.driver == "drying" else min(dry, by_temperature(law, temp_c))


@lru_cache(maxsize=4096)
def saturation_pa(temp_c: float) -> float:
    """Return the vapour pressure of water in saturated air [Pa].

    Parameters
    ----------
    temp_c : float
        Temperature of the air [°C].

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals, 2017, ch. 1, eqn 5 and 6, by PsychroLib.
    """
    return float(psychrolib.GetSatVapPres(temp_c))


def slowing(*, rate_k: Decimal, temp_c: Decimal, ref_temp_c: Decimal) -> float:
    """Return how many times longer a reaction takes at one temperature than at another.

    Parameters
    ----------
    rate_k : Decimal
        Activation energy over gas constant [K].
    temp_c, ref_temp_c : Decimal
        Temperature asked, and temperature of the sheet's figure [°C].

    Notes
    -----
    exp(rate_k (1/T - 1/T_ref)), T in kelvin; below 1 where it is warmer.

    References
    ----------
    .. [1] ASTM C1074, equivalent age, Arrhenius form.

    Examples
    --------
    >>> slowing(rate_k=Decimal(6000), temp_c=Decimal(21), ref_temp_c=Decimal(21))
    1.0
    """
    return exp(float(rate_k) * (_inverse(float(temp_c)) - _inverse(float(ref_temp_c))))


def _by_water(law: Law, temp_c: float, share: float) -> float:
    """Return the rate by the vapour pressure that drives water in or out.

    Parameters
    ----------
    share : float
        Relative humidity as a fraction, or 1 less it where the film dries.

    Notes
    -----
    Rate = (share x p_sat(T) / ref_pa) ^ exponent. Between a maker's own points these give the effect of
    temperature, and the share alone gives that of the humidity.
    """
    if len(law.at) > 1:
        ratio = share / REF_SHARE
        return float(by_temperature(law, temp_c) * ratio ** (law.slower if ratio < 1 else law.faster))
    ratio = share * saturation_pa(temp_c) / law.ref_pa
    if ratio < 1:
        return float(ratio**law.slower)
    return float(ratio**law.faster) if law.faster else 1.0


def _inverse(temp_c: float) -> float:
    """Return 1/temperature in kelvin [1/K]."""
    return 1 / (temp_c + ZERO_C_K)


def by_temperature(law: Law, temp_c: float) -> float:
    """Return the rate by temperature alone, humidity left out.

    Notes
    -----
    On the cold side of the points ln(time) rises with rate_k x slower x (1/T - 1/T_cold). On the warm side it
    falls with rate_k x faster. Between two points ln(time) is read in a straight line over 1/T.
    """
    x = 1 / (temp_c + ZERO_C_K)
    (cold_x, cold_y), (warm_x, warm_y) = law.at[0], law.at[-1]
    if x >= cold_x:
        time = cold_y + law.rate_k * (x - cold_x) * law.slower
    elif x <= warm_x:
        time = warm_y - law.rate_k * (warm_x - x) * law.faster
    else:
        time = next(
            y1 + (y2 - y1) * (x - x1) / (x2 - x1) for (x1, y1), (x2, y2) in pairwise(law.at) if x2 <= x
        )
    return exp(log(law.need_s) - time)
