"""Open time of a glue, and its time to full pressure, in today's air.

Warm or dry air shortens both. No law of open time is in print; these are estimates from the vapour pressure
of the air or the reaction rate of the class. The dry fit of the day decides.

References
----------
.. [1] ASHRAE Handbook Fundamentals, 2017, ch. 1: vapour pressure of water.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from calcs.curing.rates import saturation_pa, slowing
from calcs.kit.amounts import both_temperatures
from calcs.kit.errors import OutOfRange
from calcs.materials.product_sheets import Glue

REF_RH_PCT = Decimal(50)
"""Humidity that open times in print are for (adhesives tables: 70 °F, 50 % RH)."""
SHORTER = (
    "shorter in warm or dry air: common practice, no source; by how much is an estimate from the vapour"
    " pressure of ASHRAE Fundamentals 2017, ch. 1, or the reaction rate of the class"
)


@dataclass(frozen=True, kw_only=True)
class Assembly:
    """Open time and assembly time of a glue today.

    Attributes
    ----------
    open_s, closed_s : int
        Open time, and assembly time in all until full pressure [s].
    share : float
        Both as a share of the sheet's own; 1 at most.
    why : str
        Why they are shorter; empty where they are not.
    source : tuple of str
        Sources of the sheet's times, and of the shortening.
    """

    open_s: int
    closed_s: int
    share: float
    why: str
    source: tuple[str, ...]


def assembly_time(glue: Glue, *, temp_c: Decimal, rh_pct: Decimal) -> Assembly:
    """Return open and closed time at a temperature and a humidity.

    Parameters
    ----------
    glue : Glue
        Product sheet with times [s] at its temperature and 50 % RH.
    temp_c : Decimal
        Temperature of wood, glue and shop [°C].
    rh_pct : Decimal
        Relative humidity of the air [%].

    Returns
    -------
    Assembly
        Never longer than the sheet's.

    Raises
    ------
    OutOfRange
        Outside the temperatures of the sheet: there is no open time to give.

    Notes
    -----
    Share = sheet / today of what drives the glue, 1 at most. A glue that loses water skins over in proportion
    to the vapour-pressure deficit p_sat (1 - RH). One that takes up water sets in proportion to the vapour
    pressure p_sat RH. One that reacts follows the Arrhenius law of its class.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals, 2017, ch. 1: vapour pressure of water.
    .. [2] Shorter in warm or dry air: common practice, no source.
    """
    if not glue.min_temp_c <= temp_c <= glue.max_temp_c:
        allowed = f"{both_temperatures(glue.min_temp_c)} to {both_temperatures(glue.max_temp_c)}"
        raise OutOfRange(
            f"temp {both_temperatures(temp_c)} is outside the sheet of {glue.name}, no open time: {allowed}",
            field="temp",
            value=temp_c,
            allowed=allowed,
        )
    share, why = _share(glue, temp_c, rh_pct)
    return Assembly(
        open_s=int(glue.open_s * share),
        closed_s=int(glue.closed_s * share),
        share=share,
        why=why if share < 1 else "",
        source=(
            f"open_s: {glue.source.get('open_s', '')}",
            f"closed_s: {glue.source.get('closed_s', '')}",
            *((SHORTER,) if share < 1 else ()),
        ),
    )


def _share(glue: Glue, temp_c: Decimal, rh_pct: Decimal) -> tuple[float, str]:
    """Return the share of the sheet's times that is left today, and the reason."""
    if glue.water_based:
        today, sheet = (_lacking(t, rh) for t, rh in ((temp_c, rh_pct), (glue.ref_temp_c, REF_RH_PCT)))
        return min(1.0, sheet / today) if today > 0 else 1.0, "warm or dry air takes its water sooner"
    if glue.rate_k is not None:
        slower = slowing(rate_k=glue.rate_k, temp_c=temp_c, ref_temp_c=glue.ref_temp_c)
        return min(1.0, slower), "it reacts faster in the warmth"
    today, sheet = (_held(t, rh) for t, rh in ((temp_c, rh_pct), (glue.ref_temp_c, REF_RH_PCT)))
    return min(1.0, sheet / today) if today > 0 else 1.0, "warm or humid air gives it more moisture"


def _lacking(temp_c: Decimal, rh_pct: Decimal) -> float:
    """Return the vapour-pressure deficit of air [Pa]."""
    return saturation_pa(float(temp_c)) * (1 - float(rh_pct) / 100)


def _held(temp_c: Decimal, rh_pct: Decimal) -> float:
    """Return the vapour pressure of water in air [Pa]."""
    return saturation_pa(float(temp_c)) * float(rh_pct) / 100
