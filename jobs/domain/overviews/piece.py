"""The view of a piece: inputs, results, route."""

from datetime import datetime
from typing import Any

from jobs.core.units import Units
from jobs.domain.pieces.at_hand import CHANGED, boards_changed
from jobs.domain.pieces.blockers import blockers_of
from jobs.domain.pieces.calculations import PRICES, without_prices
from jobs.domain.pieces.extra_inputs import EXTRA_DEFAULTS
from jobs.domain.pieces.wood import thumb_of
from jobs.domain.routes import cautions
from jobs.domain.routes.note_rules import warnings
from jobs.domain.stages import gates
from jobs.domain.stages.clampings import several
from jobs.domain.stages.glue_today import closings_of
from jobs.domain.stages.left_open import still_asked
from jobs.domain.stages.preconditions import shown_ground
from jobs.domain.waits.queries import is_paused, stage_title, standing, wait_view, what_to_do, worked_min
from jobs.domain.waits.route import RouteState, is_once
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Attempt, Commission, Piece, Stage

NOT_YET_COMPUTED = "not yet computed"


def piece_view(
    route: RouteState,
    texts: Texts,
    *,
    now: datetime,
    units: Units | None = None,
    with_money: bool = True,
) -> dict[str, Any]:
    """Return one piece with its whole route, from texts read before.

    Without money, it has no prices and no owner's stages.
    """
    piece = route.piece
    judged = shown_ground(route, now, units or Units())
    stages = [
        stage_view(route, s, texts, now=now, ground_=judged)
        for s in route.stages
        if with_money or not s.spec["owner_only"]
    ]
    return {
        "number": piece.number,
        "label": texts[piece.label_ref],
        "quantity": piece.quantity,
        "inputs": {"lost_width_len": 0, **EXTRA_DEFAULTS, **piece.inputs},
        "computed": piece.computed if with_money else without_prices(piece.computed),
        "changed": [c for c in piece.changed if with_money or c["figure"] not in PRICES],
        "revision": piece.revision,
        "wood": thumb_of(piece),
        "route": piece.route_key,
        "route_edited": piece.route_edited,
        "version": piece.version,
        "stages": stages,
        "waits": [wait_view(w, now) for w in route.waits],
        "blockers": _blockers(route),
        "warnings": warnings([s.spec for s in route.stages], piece.inputs),
        "next": [s["key"] for s in stages if s["standing"] == "ready"]
        + [s["key"] for s in stages if s["standing"] == "under way" and not s["passive"]],
    }


def _blockers(route: RouteState) -> list[dict[str, Any]]:
    """Return what is still to be solved: without what is done, or what an accepted route solves."""
    to_work = (Stage.Step.PLANNED, Stage.Step.UNDER_WAY)
    ahead = {name for s in route.stages if s.step in to_work for name in s.spec["calcs"]}
    named = {name for s in route.stages for name in s.spec["calcs"]}
    accepted = route.piece.commission.step not in Commission.UNDECIDED
    agreed = accepted and any(s.spec.get("clamping") for s in route.stages)
    found = blockers_of(route.piece.computed, over=named - ahead, with_route=agreed)
    return found if "lumber" in named - ahead else [*_of_boards(route.piece), *found]


def _of_boards(piece: Piece) -> list[dict[str, Any]]:
    """Return that the boards of a piece are others than those that its strips were laid out from."""
    return [{"calculation": "lumber", "says": CHANGED, "ways": []}] if boards_changed(piece) else []


def pieces_with_blockers(commission: Commission) -> list[dict[str, Any]]:
    """Return the pieces of a commission with what has to be solved on each."""
    pieces = list(commission.pieces.order_by("number"))
    texts = Texts(refs_of(pieces))
    return [
        {
            "number": p.number,
            "label": texts[p.label_ref],
            "blockers": [*_of_boards(p), *blockers_of(p.computed)],
        }
        for p in pieces
    ]


def stage_view(
    route: RouteState, stage: Stage, texts: Texts, *, now: datetime, ground_: gates.GateContext
) -> dict[str, Any]:
    """Return one stage with its gates, waits, cautions and calculations."""
    spec, computed = stage.spec, route.piece.computed
    return {
        "key": stage.key,
        "title": stage_title(stage, texts),
        "do": what_to_do(stage, texts),
        "place": spec["place"],
        "after": spec["after"],
        "passive": spec["passive"],
        "owner_only": spec["owner_only"],
        "marks": spec["marks"],
        "once_per": "commission" if is_once(stage) else "piece",
        "can_be_skipped": not (spec["passive"] or spec["marks"] or spec["owner_only"] or is_once(stage)),
        "step": stage.step,
        "standing": standing(route, stage, now),
        "started_at": stage.started_at,
        "started_by": stage.started_by,
        "given_to": stage.given_to,
        "finished_at": stage.finished_at,
        "finished_by": stage.finished_by,
        "paused": is_paused(stage),
        "worked_min": worked_min(stage, now),
        "minutes": stage.minutes,
        "attempt": stage.attempt,
        "attempts": [attempt_view(a, texts) for a in stage.attempts.all()] if stage.attempt > 1 else [],
        "measured": stage.measured,
        "overrides": sorted(stage.overrides),
        "remark": texts[stage.remark_ref],
        "gates": gates.ranges(spec["gates"], ground_, still=stage.step == Stage.Step.PLANNED),
        "notes": spec["notes"],
        "cautions": [{"key": c, **cautions()[c]} for c in spec["cautions"]],
        "calcs": {c: "computed" if c in computed else NOT_YET_COMPUTED for c in spec["calcs"]},
        "held_by": [w.id for w in route.holding(stage)],
        "missing": [s.key for s in route.missing(stage)] if stage.step == Stage.Step.PLANNED else [],
        "clamping": spec.get("clamping"),
        "clampings": [one.view() for one in several(route, stage, at=now)],
        "still_asked": [gate["key"] for gate in still_asked(stage)],
        "closings": closings_of(stage.closings),
    }


def attempt_view(attempt: Attempt, texts: Texts) -> dict[str, Any]:
    """Return an attempt as it stood before it was redone, and the reason."""
    return {
        "number": attempt.number,
        "started_at": attempt.started_at,
        "started_by": attempt.started_by,
        "finished_at": attempt.finished_at,
        "finished_by": attempt.finished_by,
        "minutes": attempt.minutes,
        "measured": attempt.measured,
        "overrides": sorted(attempt.overrides),
        "closings": closings_of(attempt.closings),
        "remark": texts[attempt.remark_ref],
        "redone_at": attempt.redone_at,
        "reason": texts[attempt.reason_ref],
    }
