"""How long the waits of a route will last: by its own duration, or by the sheet of the piece's product."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from jobs.domain.pieces.inputs import products_for
from jobs.domain.waits.route import RouteState
from jobs.models import Stage

SHEET_TIMES = {
    "glue.scrape": "scrape_from_s",
    "glue.unclamp": "unclamp_s",
    "glue.machine": "machine_s",
    "glue.surface": "surface_s",
    "finish.recoat": "recoat_from_s",
    "finish.full": "full_s",
}


def lasts(wait: Mapping[str, Any], inputs: Mapping[str, Any]) -> timedelta:
    """Return how long a wait of a stage's spec will last, by the slower of two products."""
    if not wait["clock"]:
        return timedelta(seconds=wait["duration_s"] or 0)
    products = products_for(wait["clock"].split(".")[0], inputs)
    times = [getattr(p.sheet, SHEET_TIMES[wait["clock"]], None) or 0 for p in products]
    return timedelta(seconds=max(times, default=0))


def waiting_after(route: RouteState, stage: Stage, inputs: Mapping[str, Any]) -> timedelta:
    """Return the longest wait that begins as this stage is finished, that of a passive follower included."""
    return max((length for _, length in waits_after(route, stage, inputs)), default=timedelta(0))


def waits_after(
    route: RouteState, stage: Stage, inputs: Mapping[str, Any]
) -> list[tuple[Mapping[str, Any], timedelta]]:
    """Return the waits that begin as this stage is finished, each with how long it will last."""
    begin = [stage, *(s for s in route.followers(stage) if s.spec["passive"] and route.missing(s) == [stage])]
    return [(wait, lasts(wait, inputs)) for one in begin for wait in one.spec["waits"] if wait["holds"]]
