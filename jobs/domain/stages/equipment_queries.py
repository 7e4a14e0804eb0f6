"""Views of equipment: how many exist, how many are free, and which stages hold the rest."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from jobs.domain.stages.clamps import CLAMPS, UNCLAMP
from jobs.domain.waits.queries import stage_title
from jobs.domain.waits.route import RouteState
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Equipment, Hold, Stage

PLACES = {Equipment.Kind.BENCH: "bench", Equipment.Kind.FINISHING: "finishing room"}
"""The place in a stage's spec that each kind of equipment serves."""


def equipment_views(found: Iterable[Equipment]) -> list[dict[str, Any]]:
    """Return equipment with its holders: stages that took clamps, or stages under way at a place."""
    found = list(found)
    holds = list(Hold.objects.filter(equipment__in=found).select_related("stage__piece"))
    working = _working(found)
    texts = Texts(refs_of([*found, *(h.stage for h in holds), *working]))
    held = defaultdict(list)
    for hold in holds:
        held[hold.equipment_id].append(_holder(hold.stage, hold.count, hold.since, texts))
    views = []
    for one in found:
        clamp = one.kind == Equipment.Kind.CLAMP
        place = PLACES.get(Equipment.Kind(one.kind))
        by = held[one.id] if clamp else [
            _holder(s, 1, s.started_at, texts) for s in working if s.spec["place"] == place
        ]  # fmt: skip
        views.append(
            {
                "id": one.id,
                "kind": one.kind,
                "name": texts[one.name_ref],
                "clamp_kind": one.clamp_kind if clamp else "",
                "reach_len": one.reach_len,
                "count": one.count,
                "free": max(0, one.count - sum(h["count"] for h in by)),
                "held_by": by,
                "retired_at": one.retired_at,
                "version": one.version,
            }
        )
    return views


def _working(found: list[Equipment]) -> list[Stage]:
    """Return the stages under way at places; none where only clamps are asked for."""
    if all(one.kind == Equipment.Kind.CLAMP for one in found):
        return []
    under_way = Stage.objects.filter(step=Stage.Step.UNDER_WAY)
    return list(under_way.exclude(piece__commission__step__in=Commission.ENDED).select_related("piece"))


def _holder(stage: Stage, count: int, since: Any, texts: Texts) -> dict[str, Any]:
    return {
        "piece": stage.piece.number,
        "stage": stage.key,
        "title": stage_title(stage, texts),
        "count": count,
        "since": since,
    }


def clamps_for(route: RouteState, stage: Stage) -> list[dict[str, Any]]:
    """Return the clamps that a planned stage may take; none for a stage on joints already clamped."""
    if stage.spec["place"] != CLAMPS or stage.step != Stage.Step.PLANNED:
        return []
    before = [route.by_key[key] for key in stage.spec["after"]]
    keeps_on = any(w["kind"] == UNCLAMP for w in stage.spec["waits"])
    if not keeps_on and any(s.spec["place"] == CLAMPS for s in before):
        return []
    return equipment_views(Equipment.objects.filter(kind=Equipment.Kind.CLAMP, retired_at=None))


def clamps_held(stage: Stage) -> list[dict[str, Any]]:
    """Return the clamps that a stage holds now."""
    holds = list(Hold.objects.filter(stage=stage).select_related("equipment"))
    texts = Texts(refs_of([h.equipment for h in holds]))
    return [
        {"count": h.count, "name": texts[h.equipment.name_ref], "reach_len": h.equipment.reach_len}
        for h in holds
    ]
