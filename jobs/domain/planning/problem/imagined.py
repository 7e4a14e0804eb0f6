"""Pieces that do not exist: one more like an earlier one, and boards that need not settle."""

from collections.abc import Mapping, Sequence
from copy import copy
from datetime import datetime
from typing import Any

from jobs.domain.clients.approvals import ASKED_COLUMNS
from jobs.domain.climate.settling import ARRIVED
from jobs.domain.planning.problem.changes import NEW
from jobs.domain.waits.queries import routes_of
from jobs.domain.waits.route import RouteState
from jobs.log.projections.rows import Laid
from jobs.models import Commission, Piece, Stage


def new_commission(now: datetime) -> Commission:
    """Return a commission that is accepted now; it is in no table."""
    step = Commission.Step.ACCEPTED
    return Commission(id=-1, number=NEW, step=step, step_at=now, opened_at=now, version=0)


def more_like(
    numbers: Sequence[str], inputs: Mapping[str, Mapping[str, Any]], commission: Commission
) -> list[RouteState]:
    """Return one more of each of these pieces, with nothing done yet, in a commission that is in no table."""
    pieces = Piece.objects.filter(number__in=numbers).select_related("commission").annotate(**ASKED_COLUMNS)
    return [_another(route, inputs, commission, n) for n, route in enumerate(routes_of(pieces), 1)]


def _another(
    route: RouteState, inputs: Mapping[str, Mapping[str, Any]], commission: Commission, n: int
) -> RouteState:
    piece = copy(route.piece)
    piece.inputs = {**piece.inputs, **inputs.get(piece.number, {})}
    piece.id, piece.number, piece.commission = -n, f"{NEW}-{n}", commission
    stages = [_undone(stage) for stage in route.stages]
    for k, stage in enumerate(stages):
        stage.id, stage.piece = -1000 * n - k, piece
    return RouteState(piece, Laid(piece=piece, stages=stages, waits=[]))


def _undone(stage: Stage) -> Stage:
    again = copy(stage)
    again._state = copy(stage._state)
    again._state.fields_cache = {}
    again.step, again.started_at, again.finished_at = Stage.Step.PLANNED, None, None
    again.started_by = again.given_to = ""
    again.minutes, again.worked_s, again.resumed_at = None, 0, None
    return again


def settle(routes: Sequence[RouteState], now: datetime) -> None:
    """Let the boards of these pieces be on the rack and settled, as far as that has not begun."""
    for route in routes:
        settling = [s for s in route.stages if any(w["kind"] == ARRIVED for w in s.spec["waits"])]
        bought = {key for stage in settling for key in stage.spec["after"]}
        for stage in route.stages:
            if stage.step == Stage.Step.PLANNED and (stage in settling or stage.key in bought):
                stage.step, stage.finished_at = Stage.Step.SKIPPED, now
