"""Stages: every command on one of them."""

from django.core.exceptions import PermissionDenied
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import STAGE, command_routes, view_route
from jobs.api.kit.serializer_bases import UnitsIn
from jobs.api.kit.view_bases import View
from jobs.api.pieces.views import PIECE
from jobs.api.planning.serializers import StageGiveIn, StagePinIn, StageUnpinIn
from jobs.api.stages.equipment_serializers import FreeClampsIn
from jobs.api.stages.serializers import (
    StageCardOut,
    StageCorrectIn,
    StageDoIn,
    StageFinishIn,
    StageMeasureIn,
    StagePauseIn,
    StagePutBackIn,
    StageRedoIn,
    StageReopenIn,
    StageSkipIn,
    StageStartIn,
    StageTimeIn,
)
from jobs.domain import lookups
from jobs.domain.commissions.stage_card import stage_card
from jobs.domain.planning.assignments import give_stage
from jobs.domain.planning.pins import pin_stage, unpin_stage
from jobs.domain.stages.clamps import free_clamps
from jobs.domain.stages.commands import (
    do_stage,
    finish_stage,
    put_back_stage,
    reopen_stage,
    skip_stage,
    start_stage,
)
from jobs.domain.stages.left_open import add_measurement
from jobs.domain.stages.pauses import pause_stage, resume_stage, time_stage
from jobs.domain.stages.preconditions import shown_ground
from jobs.domain.stages.rework import correct_measurement, redo_stage
from jobs.domain.waits.route import RouteState

COMMANDS = {
    "start": PIECE.changes(
        start_stage, StageStartIn,
        "Start a stage. A gate that is shut is named; it can be overridden with a reason.",
    ),
    "finish": PIECE.changes(
        finish_stage, StageFinishIn,
        "Finish a stage that is under way, with its minutes and what was measured; its waits start.",
    ),
    "do": PIECE.changes(
        do_stage, StageDoIn,
        "Start a stage and finish it at the same moment, with what both ask.\n\n"
        "Where its recoat window was missed, only the abrading that comes first is started.",
    ),
    "put-back": PIECE.changes(
        put_back_stage, StagePutBackIn, "Undo the start or the skipping of a stage: it is planned again."
    ),
    "reopen": PIECE.changes(
        reopen_stage, StageReopenIn,
        "Reopen a finished stage; refused while a successor has started or a paper rests on it.",
    ),
    "pause": PIECE.changes(pause_stage, StagePauseIn, "Stop the clock of a stage that is under way."),
    "resume": PIECE.changes(resume_stage, StagePauseIn, "Let the clock of a paused stage run on."),
    "time": PIECE.changes(time_stage, StageTimeIn, "Say how long a finished stage took."),
    "skip": PIECE.changes(
        skip_stage, StageSkipIn,
        "Leave a planned stage out on this piece, with a reason; put back undoes it.",
    ),
    "redo": PIECE.changes(
        redo_stage, StageRedoIn,
        "Do a stage and all that followed again; what went wrong stays on record.\n\n"
        "Joints ripped apart cost width: a notice says when the finished width is out of reach.",
    ),
    "correct": PIECE.changes(
        correct_measurement, StageCorrectIn,
        "Correct a mistaken measurement; waits that rest on it are recalculated.",
    ),
    "measure": PIECE.changes(
        add_measurement, StageMeasureIn,
        "Say what a stage still asks; with a reason where it is not known or outside its limits.",
    ),
    "give": PIECE.changes(give_stage, StageGiveIn, "Give a stage to a person, or to nobody alone."),
    "pin": PIECE.changes(
        pin_stage, StagePinIn,
        "Pin a stage in the plan: to a day, to a person, or to come first; it replaces an older pin.",
    ),
    "unpin": PIECE.changes(unpin_stage, StageUnpinIn, "Take the pin of a stage off."),
    "free-clamps": PIECE.changes(
        free_clamps, FreeClampsIn,
        "Say that the clamps of a stage are off, before or without its clamps-off stage.",
    ),
}  # fmt: skip


class StageCardView(View):
    """The card of a stage."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[UnitsIn], responses=StageCardOut)
    def get(self, request: Request, piece: str, stage: str) -> Response:
        """How long a stage usually takes, what waits after it, and what of its measurements is known."""
        self.use_units(self.query(UnitsIn))
        found = lookups.stage(piece, stage)
        if found.spec["owner_only"] and not self.with_money:
            raise PermissionDenied
        route = RouteState(lookups.piece(piece))
        row, now = route.by_key[found.key], timezone.now()
        return Response(present(stage_card(route, row, shown_ground(route, now, self.units))))


ROUTES = [*command_routes(STAGE, Worker, COMMANDS), view_route(f"{STAGE}card/", "stage-card", StageCardView)]
