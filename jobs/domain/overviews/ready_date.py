"""The ready date of a commission: the promised day, and the soonest day that drying and resting allow."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone

from jobs.domain.pieces.inputs import products_for
from jobs.domain.waits.cut_short import CutShort
from jobs.domain.waits.queries import Read
from jobs.domain.waits.route import OVER, RouteState, estimate_of
from jobs.models import Commission, Stage

SHEET_TIMES = {
    "glue.scrape": "scrape_from_s",
    "glue.unclamp": "unclamp_s",
    "glue.machine": "machine_s",
    "glue.surface": "surface_s",
    "finish.recoat": "recoat_from_s",
    "finish.full": "full_s",
}


@dataclass(frozen=True, kw_only=True)
class ReadyDate:
    """The promised day and the soonest day. ``soonest`` is no promise: work at the bench adds to it."""

    promised: date | None
    soonest: date | None
    steps_left: int

    @property
    def late(self) -> bool:
        """Return whether drying and resting alone end after the promised day."""
        return self.promised is not None and self.soonest is not None and self.soonest > self.promised


def ready_date(
    commission: Commission,
    read: Read,
    *,
    now: datetime,
    early: list[CutShort],
) -> ReadyDate:
    """Return the ready date by the stages left, the running waits and the product sheets.

    ``early`` are waits that were ended early: the commission is not ready before their computed end.
    """
    left = [s for r in read.routes for s in r.stages if _is_ahead(s)]
    if commission.step not in (Commission.Step.ACCEPTED, Commission.Step.IN_SHOP) or not left:
        return ReadyDate(promised=commission.promise_on, soonest=None, steps_left=len(left))
    soonest = max([*(_end(route, now) for route in read.routes), *(one.until for one in early)])
    return ReadyDate(
        promised=commission.promise_on,
        soonest=timezone.localtime(soonest).date(),
        steps_left=len([s for s in left if not s.spec["passive"]]),
    )


def _is_ahead(stage: Stage) -> bool:
    """Return whether a stage is unfinished work on the piece; delivery and owner's stages come later."""
    spec = stage.spec
    return stage.step not in OVER and not spec["owner_only"] and spec["marks"] not in ("delivered", "closed")


def _end(route: RouteState, now: datetime) -> datetime:
    """Return the end of the longest path through the stages left, with each wait at its sheet's time."""
    begins: dict[str, datetime] = {}
    ends: dict[str, datetime] = {}
    for stage in route.stages:  # a route holds every stage after its predecessors
        begin = max([now, *(ends[k] for k in stage.spec["after"] if k in ends)])
        begins[stage.key] = (stage.finished_at or now) if stage.step in OVER else begin
        ends[stage.key] = now if stage.step in OVER else begin
        if _is_ahead(stage):
            for wait in stage.spec["waits"]:
                since = begins.get(wait["since"], begin)
                ends[stage.key] = max(ends[stage.key], since + _lasts(wait, route))
    running = [e.earliest_at or e.ready_at for w in route.waits if (e := estimate_of(w))]
    ahead = [ends[s.key] for s in route.stages if _is_ahead(s)]
    return max([now, *ahead, *(at for at in running if at)])


def _lasts(wait: dict[str, Any], route: RouteState) -> timedelta:
    if not wait["clock"]:
        return timedelta(seconds=wait["duration_s"] or 0)
    kind = wait["clock"].split(".")[0]
    products = products_for(kind, route.piece.inputs)
    times = [getattr(p.sheet, SHEET_TIMES[wait["clock"]], None) or 0 for p in products]
    return timedelta(seconds=max(times, default=0))
