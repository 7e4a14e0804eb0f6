"""A glue-up calculated in the air that is measured now, instead of the shop's usual air."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from calcs.curing.series import STEP_S
from calcs.kit.amounts import both_temperatures
from calcs.kit.errors import CalcError
from jobs.core.canonical_json import plain
from jobs.domain.climate.air_history import means, step_of
from jobs.domain.pieces.context import subject_of
from jobs.domain.pieces.joints import glue_lines
from jobs.domain.settings import settings
from jobs.domain.waits.route import RouteState

FRESH = timedelta(hours=2)
"""Greatest age of a measurement that stands for the air of now. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class GlueToday:
    """Figures of a glue-up as stored for its calculation, and the measured air in words; empty without."""

    result: dict[str, Any]
    air: str = ""


def glue_planned(route: RouteState) -> GlueToday:
    """Return the glue-up of a piece as it was calculated last."""
    return GlueToday(result=route.piece.computed.get("gluing", {}).get("result") or {})


def glue_today(route: RouteState, *, at: datetime) -> GlueToday:
    """Return the glue-up of a piece in the shop's air at this time; as stored where nobody measures it."""
    stored = glue_planned(route)
    last = step_of(at)
    first = last - int(FRESH.total_seconds()) // STEP_S
    measured = means(settings()["places"][0], first=first, last=last) if stored.result else {}
    if not measured:
        return stored
    temp_c, rh_pct = (Decimal(str(round(each, 1))) for each in measured[max(measured)])
    subject = subject_of(route.piece.inputs, route.piece)
    shop = {**subject.shop, "shop_c": str(temp_c), "shop_rh_pct": str(rh_pct)}
    try:
        made = glue_lines(replace(subject, shop=shop))
    except CalcError:
        return stored
    air = f"{both_temperatures(temp_c)}, {round(rh_pct)} % relative humidity"
    return GlueToday(result=plain(made["result"], field="gluing"), air=air)
