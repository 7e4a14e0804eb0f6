"""Read the routes of several pieces together."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import prefetch_related_objects

from jobs.domain import routes
from jobs.domain.waits.route import (
    RouteState,
    estimate_of,
    is_missed,
    is_over,
    is_suspect,
    look_at,
    may_begin,
    reason_of,
    times_of,
)
from jobs.log.private_texts import Texts, refs_of
from jobs.log.projections import rows
from jobs.models import Piece, Stage, Wait


@dataclass(frozen=True, kw_only=True)
class Read:
    """Pieces with their routes and every private text on them."""

    routes: list[RouteState]
    texts: Texts


def read_routes(
    pieces: Iterable[Piece], *, more_rows: Iterable[Any] = (), with_attempts: bool = True
) -> Read:
    """Return the routes and texts of these pieces, in five queries however many there are.

    Without attempts, what was redone has no record of before.
    """
    return with_texts(routes_of(pieces), more_rows=more_rows, with_attempts=with_attempts)


def routes_of(pieces: Iterable[Piece]) -> list[RouteState]:
    """Return the routes of these pieces, in two queries."""
    return [RouteState(laid.piece, laid) for laid in rows.lay(list(pieces))]


def with_texts(
    routes: list[RouteState], *, more_rows: Iterable[Any] = (), with_attempts: bool = True
) -> Read:
    """Return routes with every private text on them and on more rows."""
    pieces = [route.piece for route in routes]
    laid = [s for r in routes for s in r.stages]
    redone = [s for s in laid if s.attempt > 1] if with_attempts else []
    prefetch_related_objects(redone, "attempts")
    on_record = [a for s in redone for a in s.attempts.all()]
    return Read(routes=routes, texts=Texts(refs_of([*pieces, *laid, *on_record, *more_rows])))


def stage_title(stage: Stage, texts: Texts) -> str:
    return texts[stage.title_ref] if stage.title_ref else str(stage.spec["title"])


def what_to_do(stage: Stage, texts: Texts) -> str:
    """Return what to do at a stage, verb first; a stage of the shop's own list goes by its title."""
    return texts[stage.title_ref] if stage.title_ref else routes.what_to_do(stage.spec)


def standing(route: RouteState, stage: Stage, now: datetime) -> str:
    """Return where a stage stands now: its step, or "ready" or "held" for a planned stage that is open."""
    if route.can_start(stage, now):
        return "ready" if not stage.spec["passive"] else "planned"
    if route.open_to(stage):
        return "held"
    return str(stage.step)


def is_paused(stage: Stage) -> bool:
    """Return whether a stage is under way with its clock stopped."""
    return stage.step == Stage.Step.UNDER_WAY and stage.resumed_at is None


def worked_min(stage: Stage, now: datetime) -> int | None:
    """Return the minutes worked so far on a stage that is under way; None for any other."""
    if stage.step != Stage.Step.UNDER_WAY:
        return None
    since = max(0.0, (now - stage.resumed_at).total_seconds()) if stage.resumed_at else 0
    return round((stage.worked_s + since) / 60)


def made_by(wait: Wait) -> str:
    """Return the key of the stage whose work is waiting: the wait's clock runs from its finish.

    That stage may stand before a passive one, which carries the wait.
    """
    specs = [w for w in wait.stage.spec["waits"] if w["kind"] == wait.kind]
    return str(specs[0]["since"]) if specs else wait.stage.key


def _range(wait: Wait) -> dict[str, Any]:
    """Return the soonest, likely and slowest times of a wait, and the ready time told at its start."""
    estimate = estimate_of(wait)
    first = wait.since + timedelta(seconds=wait.ready_s) if wait.ready_s is not None else None
    return {
        "first_told_at": first,
        "earliest_at": estimate.earliest_at if estimate else None,
        "likely_at": estimate.likely_at if estimate else None,
        "latest_at": estimate.latest_at if estimate else None,
        "paused": bool(estimate and estimate.paused),
        "cold_at": estimate.cold_at if estimate else None,
        "measured_until": estimate.known_until if estimate else None,
    }


def wait_view(wait: Wait, now: datetime) -> dict[str, Any]:
    """Return a running wait with its times and its progress."""
    ready, closes = times_of(wait)
    whole = (ready - wait.since).total_seconds() if ready else 0
    gone = (now - wait.since).total_seconds()
    return {
        "id": wait.id,
        "kind": wait.kind,
        "title": wait.title,
        "stage": wait.stage.key,
        "made_by": made_by(wait),
        "panel": (wait.stage.spec.get("clamping") or {}).get("makes", ""),
        "holds": wait.holds,
        "step": wait.step,
        "since": wait.since,
        "ready_at": ready,
        "closes_at": closes,
        "look_at": look_at(wait, estimate_of(wait)),
        "may_begin": may_begin(wait, now),
        "is_over": is_over(wait, now),
        "is_missed": is_missed(wait, now),
        "suspect": is_suspect(wait),
        "reason": reason_of(wait),
        **_range(wait),
        "basis": wait.basis,
        "share": round(max(0.0, min(1.0, gone / whole)), 3) if whole > 0 else (1.0 if ready else None),
    }
