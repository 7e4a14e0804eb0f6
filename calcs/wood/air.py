"""Air in the shop: its dew point, and whether a surface is warm enough to coat."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

import psychrolib

from calcs.asking.field_types import Percent, Temperature
from calcs.asking.figure_wording import in_both
from calcs.asking.inputs import check
from calcs.kit.amounts import both_temperatures
from calcs.kit.rounding import places
from calcs.kit.validators import decimal

MARGIN_C = Decimal(3)
MARGIN = f"{MARGIN_C * 9 / 5} °F ({MARGIN_C} °C)"
RH_MOST_PCT = Decimal(85)
MARGIN_SOURCE = (
    "3 °C (5 °F) above the dew point and air at most 85 % RH: paint makers' guides citing ISO 8502-4 and"
    " ISO 12944-7 (read; rules for steel, borrowed)"
)
DEW_POINT_SOURCE = "ASHRAE Handbook Fundamentals 2017, ch. 1"

psychrolib.SetUnitSystem(psychrolib.SI)


@dataclass(frozen=True, kw_only=True)
class Air:
    """Temperature [°C] and relative humidity [%] of air."""

    temp_c: Annotated[Decimal, Temperature("temperature", "-40", "95")]
    rh_pct: Annotated[Decimal, Percent("relative humidity", "1", "100")]

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Coating:
    """Whether a surface may be coated; temperatures [°C], to 0.1. ``reasons`` says why not."""

    ok: bool
    dew_point_c: Decimal
    least_surface_c: Decimal
    reasons: tuple[str, ...]
    source: tuple[str, ...]


def dew_point(air: Air) -> Decimal:
    """Temperature at which water begins to settle from air [°C], to 0.1.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals, 2017, ch. 1, eqn 5 and 6, solved by PsychroLib (Meyer and Thevenard,
       JOSS 4(33), 1137, 2019, doi:10.21105/joss.01137).
    """
    return places(psychrolib.GetTDewPointFromRelHum(float(air.temp_c), float(air.rh_pct) / 100), 1)


def may_coat(air: Air, *, surface_c: Decimal) -> Coating:
    """Whether a surface is far enough above the dew point, and the air dry enough, for any coat.

    Parameters
    ----------
    air : Air
    surface_c : Decimal
        Temperature of the surface [°C].

    Notes
    -----
    The finish's own sheet is usually narrower; see `calcs.curing.curing.coat_times`.
    """
    decimal(surface_c, "surface", least="-40", most="95")
    dew_point_c = dew_point(air)
    least_c = dew_point_c + MARGIN_C
    reasons = []
    if surface_c < least_c:
        reasons.append(
            f"surface at {both_temperatures(surface_c)} is less than {MARGIN} above the dew point of"
            f" {both_temperatures(dew_point_c)}"
        )
    if air.rh_pct > RH_MOST_PCT:
        reasons.append(f"air at {in_both(air.rh_pct, '%')} RH is above {RH_MOST_PCT} %")
    return Coating(
        ok=not reasons,
        dew_point_c=dew_point_c,
        least_surface_c=least_c,
        reasons=tuple(reasons),
        source=(DEW_POINT_SOURCE, MARGIN_SOURCE),
    )
