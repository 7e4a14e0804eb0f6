"""Pieces and their stages."""

from collections.abc import Callable
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.kit import output
from jobs.api.kit.permissions import Worker
from jobs.api.kit.serializer_bases import CommandIn, UnitsIn
from jobs.api.kit.view_bases import View
from jobs.api.pieces.serializers import PieceChangeIn, PieceDone, PieceIn, PieceOut
from jobs.api.stages.serializers import (
    StageCorrectIn,
    StageFinishIn,
    StageMeasureIn,
    StagePauseIn,
    StagePutBackIn,
    StageRedoIn,
    StageReopenIn,
    StageSkipIn,
    StageStartIn,
)
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.commissions.piece_commands import add_piece, change_piece, remove_piece
from jobs.domain.overviews.piece import piece_view
from jobs.domain.stages.commands import finish_stage, put_back_stage, reopen_stage, skip_stage, start_stage
from jobs.domain.stages.left_open import add_measurement
from jobs.domain.stages.pauses import pause_stage, resume_stage
from jobs.domain.stages.queries import read_routes
from jobs.domain.stages.rework import correct_measurement, redo_stage
from jobs.log.commands import CommandResult


class PiecesView(View):
    """The pieces of a commission."""

    permission_classes = (Worker,)

    @extend_schema(request=PieceIn, responses={200: PieceDone, 201: PieceDone})
    def post(self, request: Request, commission: str) -> Response:
        """Add a piece: everything is computed and its route is laid."""
        asked = self.body(PieceIn)
        call, units = self.call(asked), self.units(asked)
        done = add_piece(call, commission=commission, units=units, asked=asked)
        number = done.events[0].data["piece"]
        location = reverse("api:piece", args=[number])
        return self.done(done, "piece", lambda: shown(self, number, units), location=location)


class PieceView(View):
    """One piece with its inputs, what was computed, and its route."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[UnitsIn], responses=PieceOut)
    def get(self, request: Request, piece: str) -> Response:
        """One piece."""
        return Response(shown(self, piece, self.units(self.query(UnitsIn))))

    @extend_schema(request=PieceChangeIn, responses=PieceDone)
    def patch(self, request: Request, piece: str) -> Response:
        """Change what is asked of a piece: computed again, showing what changed."""
        asked = self.body(PieceChangeIn)
        call, units = self.call(asked), self.units(asked)
        done = change_piece(call, piece=piece, units=units, asked=asked)
        return self.done(done, "piece", lambda: shown(self, piece, units))

    @extend_schema(parameters=[CommandIn], responses={200: PieceDone})
    def delete(self, request: Request, piece: str) -> Response:
        """Remove a piece on which nothing has been started."""
        done = remove_piece(self.call(self.query(CommandIn)), piece=piece)
        return self.done(done, "piece", lambda: shown(self, piece, Units()))


class StageStartView(View):
    """The start of a stage."""

    permission_classes = (Worker,)

    @extend_schema(request=StageStartIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Start a stage. A gate that is shut is named; it can be overridden with a reason."""
        return judged(self, StageStartIn, start_stage, piece, stage)


class StageFinishView(View):
    """The end of a stage."""

    permission_classes = (Worker,)

    @extend_schema(request=StageFinishIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Finish a stage that is under way, with its minutes and what was measured; its waits start."""
        return judged(self, StageFinishIn, finish_stage, piece, stage)


class StagePutBackView(View):
    """The start of a stage undone."""

    permission_classes = (Worker,)

    @extend_schema(request=StagePutBackIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Undo the start or the skipping of a stage: it is planned again."""
        return undone(self, StagePutBackIn, put_back_stage, piece, stage)


class StageReopenView(View):
    """A finished stage reopened."""

    permission_classes = (Worker,)

    @extend_schema(request=StageReopenIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Reopen a finished stage; refused while a successor has started or a paper rests on it."""
        return undone(self, StageReopenIn, reopen_stage, piece, stage)


class StagePauseView(View):
    """A stage that is under way, laid aside."""

    permission_classes = (Worker,)

    @extend_schema(request=StagePauseIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Stop the clock of a stage that is under way."""
        return undone(self, StagePauseIn, pause_stage, piece, stage)


class StageResumeView(View):
    """A paused stage, taken up again."""

    permission_classes = (Worker,)

    @extend_schema(request=StagePauseIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Let the clock of a paused stage run on."""
        return undone(self, StagePauseIn, resume_stage, piece, stage)


class StageSkipView(View):
    """A stage left out."""

    permission_classes = (Worker,)

    @extend_schema(request=StageSkipIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Leave a planned stage out on this piece, with a reason; put back undoes it."""
        return undone(self, StageSkipIn, skip_stage, piece, stage)


class StageRedoView(View):
    """Work done again."""

    permission_classes = (Worker,)

    @extend_schema(request=StageRedoIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Do a stage and all that followed again; what went wrong stays on record.

        Joints ripped apart cost width: a notice says when the finished width is out of reach.
        """
        return undone(self, StageRedoIn, redo_stage, piece, stage)


class StageCorrectView(View):
    """A measurement put right."""

    permission_classes = (Worker,)

    @extend_schema(request=StageCorrectIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Correct a mistaken measurement; waits that rest on it are figured anew."""
        return judged(self, StageCorrectIn, correct_measurement, piece, stage)


class StageMeasureView(View):
    """A measurement that was left open at the clamps."""

    permission_classes = (Worker,)

    @extend_schema(request=StageMeasureIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Say what a stage still asks; with a reason where it is not known or outside its limits."""
        return judged(self, StageMeasureIn, add_measurement, piece, stage)


def judged(
    view: View, shape: type[UnitsIn], verb: Callable[..., CommandResult], piece: str, stage: str
) -> Response:
    """A verb whose gates are judged in the caller's units."""
    asked = view.body(shape)
    call, units = view.call(asked), view.units(asked)
    done = verb(call, piece=piece, stage=stage, units=units, **asked)
    return view.done(done, "piece", lambda: shown(view, piece, units))


def undone(
    view: View, shape: type[UnitsIn], verb: Callable[..., CommandResult], piece: str, stage: str
) -> Response:
    asked = view.body(shape)
    call, units = view.call(asked), view.units(asked)
    done = verb(call, piece=piece, stage=stage, **asked)
    return view.done(done, "piece", lambda: shown(view, piece, units))


def shown(view: View, number: str, units: Units) -> dict[str, Any]:
    found = lookups.piece(number)
    read = read_routes([found])
    return output.piece(
        piece_view(read.routes[0], read.texts, now=timezone.now(), units=units, with_money=view.with_money)
    )
