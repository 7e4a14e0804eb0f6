"""Compare the clampings that a glue-up is computed to take with the glue-ups on the route."""

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from calcs.kit.units import format_duration
from jobs.core.units import Units
from jobs.domain.pieces.blockers import ways_of
from jobs.domain.stages.glue_today import glue_planned, glue_today
from jobs.domain.stages.measurements import show
from jobs.domain.waits.route import RouteState, is_once
from jobs.models import Stage

KEY = "clampings"
"""The override key of the reason for gluing in one go."""
GLUING = "gluing"
DRY_FIT = "dry_fit_time"


@dataclass(frozen=True, kw_only=True)
class Clampings:
    """A glue-up that the open time does not allow in one go; times in seconds."""

    piece: str
    clampings: int
    glue_ups: int
    joints: int
    joints_at_once: int
    needed_s: int
    open_s: int
    allowed_s: int
    clamped_s: int
    closed_s: int
    dry_fit: str
    order: list[str]
    ways: list[str]
    air: str

    @property
    def words(self) -> str:
        """Return the time needed and the time that the glue gives, in a sentence."""
        needed, clamped, opened, allowed, closed = (
            format_duration(s)
            for s in (self.needed_s, self.clamped_s, self.open_s, self.allowed_s, self.closed_s)
        )
        why = f"{needed} needed for {self.joints} joints, {opened} open, of which {allowed} may pass"
        if self.needed_s <= self.allowed_s:
            why = f"{clamped} needed until the clamps are tight, {closed} closed time"
        dry = f"; the dry fit took {self.dry_fit}" if self.dry_fit else ""
        has = "one glue-up" if self.glue_ups == 1 else f"{self.glue_ups} glue-ups"
        air = f" in the air measured now ({self.air})" if self.air else ""
        return f"{self.clampings} clampings computed for {self.piece}{air}, the route has {has}: {why}{dry}"

    def view(self) -> dict[str, Any]:
        return {**asdict(self), "words": self.words}


def several(route: RouteState, stage: Stage, *, at: datetime) -> list[Clampings]:
    """Return the glue-ups that need a decision before this stage starts, on its piece and its siblings.

    Once a stage can be done, the air measured at this time counts.
    """
    if GLUING not in stage.spec["calcs"] or stage.step != Stage.Step.PLANNED:
        return []
    routes = [(route, stage), *_sisters(stage)]
    return [found for each, one in routes if (found := _of(each, one, at))]


def _sisters(stage: Stage) -> list[tuple[RouteState, Stage]]:
    """Return the same stage on the other pieces, where it is done once for the whole commission."""
    if not is_once(stage):
        return []
    same = Stage.objects.filter(
        piece__commission=stage.piece.commission, key=stage.key, step=Stage.Step.PLANNED
    ).exclude(id=stage.id)
    found = [(RouteState(s.piece), s) for s in same.select_related("piece__commission") if is_once(s)]
    return [(route, one) for route, one in found if not route.missing(one)]


def _of(route: RouteState, stage: Stage, at: datetime) -> Clampings | None:
    today = glue_today(route, at=at) if route.open_to(stage) else glue_planned(route)
    result = today.result
    goes = result.get("stages", [])
    glue_ups = [s for s in route.stages if GLUING in s.spec["calcs"] and s.step != Stage.Step.SKIPPED]
    decided = any(KEY in s.overrides for s in glue_ups if s.key != stage.key)
    if len(goes) <= len(glue_ups) or decided:
        return None
    return Clampings(
        piece=route.piece.number,
        clampings=len(goes),
        glue_ups=len(glue_ups),
        joints=sum(go["joints"] for go in goes),
        joints_at_once=result["joints_at_once"],
        needed_s=result["all_s"],
        open_s=result["open_s"],
        allowed_s=result["allowed_s"],
        clamped_s=result["all_s"] + result["clamps_s"],
        closed_s=result["closed_s"],
        dry_fit=_dry_fit(route),
        order=[f"{' + '.join(go['joins'])} makes {go['makes']}" for go in goes],
        ways=ways_of(result),
        air=today.air,
    )


def _dry_fit(route: RouteState) -> str:
    """Return the timed dry fit of this piece; empty where none was timed."""
    timed = [s.measured[DRY_FIT] for s in route.stages if DRY_FIT in s.measured]
    return f"{show(timed[-1], Units())} min" if timed else ""
