"""How long a glue stays open, and may stand before full pressure, in today's air."""

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
    """Open time, and assembly time in all, today [s]; ``share`` of the sheet's own, ``why`` it is shorter."""

    open_s: int
    closed_s: int
    share: float
    why: str
    source: tuple[str, ...]


def assembly_time(glue: Glue, *, temp_c: Decimal, rh_pct: Decimal) -> Assembly:
    """Open and closed time at a temperature of wood, glue and shop [°C] and humidity of the air [%].

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
    A glue that loses water skins over in proportion to the vapour-pressure deficit of the air; one that takes
    up water from the air, in proportion to its vapour pressure; one that reacts, by the Arrhenius law of its
    class. Each against the sheet's temperature and 50 % RH. No law of open time is in print: the dry fit of
    the day decides.
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
    if glue.water_based:
        today, sheet = (_lacking(t, rh) for t, rh in ((temp_c, rh_pct), (glue.ref_temp_c, REF_RH_PCT)))
        return min(1.0, sheet / today) if today > 0 else 1.0, "warm or dry air takes its water sooner"
    if glue.rate_k is not None:
        slower = slowing(rate_k=glue.rate_k, temp_c=temp_c, ref_temp_c=glue.ref_temp_c)
        return min(1.0, slower), "it reacts faster in the warmth"
    today, sheet = (_held(t, rh) for t, rh in ((temp_c, rh_pct), (glue.ref_temp_c, REF_RH_PCT)))
    return min(1.0, sheet / today) if today > 0 else 1.0, "warm or humid air gives it more moisture"


def _lacking(temp_c: Decimal, rh_pct: Decimal) -> float:
    return saturation_pa(float(temp_c)) * (1 - float(rh_pct) / 100)


def _held(temp_c: Decimal, rh_pct: Decimal) -> float:
    return saturation_pa(float(temp_c)) * float(rh_pct) / 100
