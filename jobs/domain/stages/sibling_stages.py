"""Stages done once for a whole commission: finishing one finishes its siblings."""

from typing import Any

from jobs.domain.waits.route import RouteState, is_once
from jobs.domain.waits.waits import append_stage, start_passive_stages
from jobs.log.commands import CommandTransaction
from jobs.models import Stage

Step = Stage.Step


def sibling_stages(stage: Stage, *steps: Step) -> list[Stage]:
    """Return the same stage on the other pieces of the commission, where it stands at one of these steps."""
    if not is_once(stage):
        return []
    found = Stage.objects.filter(
        piece__commission=stage.piece.commission, key=stage.key, step__in=steps
    ).exclude(id=stage.id)
    return [s for s in found.select_related("piece__commission").order_by("piece__number") if is_once(s)]


def finish_siblings(tx: CommandTransaction, stage: Stage, overrides: dict[str, Any]) -> None:
    """Finish every sibling that is open or under way; the minutes count only on this stage."""
    for sister in sibling_stages(stage, Step.PLANNED, Step.UNDER_WAY):
        route = RouteState(sister.piece)
        if sister.step == Step.PLANNED:
            if not route.open_to(sister) or route.holding(sister):
                continue
            append_stage(tx, "stage_started", sister, {"measured": {}, "overrides": {}, "auto": True})
        append_stage(
            tx,
            "stage_finished",
            sister,
            {"minutes": None, "measured": {}, "overrides": overrides, "remark": None},
        )
        start_passive_stages(tx, sister.piece)
