"""The whole plan with names, as the API gives it."""

from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from jobs.domain.overviews.plan.blocks import day_of
from jobs.domain.overviews.plan.names import read_names, stages_of
from jobs.domain.planning.publishing import current, moved_since
from jobs.domain.promising.risks import with_risks

NONE: dict[str, Any] = {
    "made_at": None, "trouble": "", "coarse_from": None, "work": [], "waits": [], "finishes": [],
    "not_planned": [], "moved": [],
}  # fmt: skip


def whole_plan(now: datetime, *, owner: bool) -> dict[str, Any]:
    """Return the last good plan; what is the owner's alone is left out for others."""
    plan = current()
    if plan is None:
        return NONE
    plan = with_risks(plan)
    moved = moved_since(day_of(now) - timedelta(days=1))
    names = read_names(
        commissions={one.commission for one in plan.finishes},
        stages=stages_of(plan.work, plan.waits, plan.not_planned, moved),
    )

    def shown(found: Any) -> list[dict[str, Any]]:
        return [asdict(one) for one in found if owner or not names.is_owners(one.piece, one.stage)]

    return {
        "made_at": plan.made_at,
        "trouble": plan.trouble,
        "coarse_from": plan.coarse_from,
        "work": [
            {**one, "do": names.do(one["piece"], one["stage"]), "label": names.label(one["piece"])}
            for one in shown(plan.work)
        ],
        "waits": shown(plan.waits),
        "finishes": [asdict(one) for one in plan.finishes],
        "not_planned": shown(plan.not_planned),
        "moved": shown(moved),
    }
