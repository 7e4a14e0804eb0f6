"""Boards."""

from collections.abc import Callable
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Worker
from jobs.api.kit.serializer_bases import CommandIn
from jobs.api.kit.shapes import Shape
from jobs.api.kit.view_bases import View
from jobs.api.stock.serializers import (
    BoardChangeIn,
    BoardDone,
    BoardIn,
    BoardOut,
    BoardPage,
    BoardsIn,
    MoistureIn,
    OffcutIn,
    ReasonIn,
    ReleaseIn,
    ReserveIn,
    UseIn,
)
from jobs.domain import lookups
from jobs.domain.stock.boards import (
    add_board,
    change_board,
    read_moisture,
    release_board,
    reserve_board,
    use_board,
    void_moisture,
    write_off_board,
)
from jobs.domain.stock.offcuts import cut_offcut
from jobs.domain.stock.queries import board_views, boards_of
from jobs.log.commands import CommandResult


class BoardsView(View):
    """The rack."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[BoardsIn], responses=BoardPage)
    def get(self, request: Request) -> Response:
        """Boards, newest first."""
        asked = self.query(BoardsIn)
        found = boards_of(step=asked.get("step", ""), piece=asked.get("piece", ""))
        return Response(
            page_of(found, request, lambda rows: present(board_views(rows, with_money=self.with_money)))
        )

    @extend_schema(request=BoardIn, responses={200: BoardDone, 201: BoardDone})
    def post(self, request: Request) -> Response:
        """Add a board; its number is to be chalked on it."""
        asked = self.body(BoardIn)
        call, units = self.call(asked), self.units(asked)
        return made(self, add_board(call, units=units, **asked))


class BoardView(View):
    """One board."""

    permission_classes = (Worker,)

    @extend_schema(responses=BoardOut)
    def get(self, request: Request, board: int) -> Response:
        """One board with its moisture readings."""
        return Response(shown(self, board))

    @extend_schema(request=BoardChangeIn, responses=BoardDone)
    def patch(self, request: Request, board: int) -> Response:
        """Change what was typed of a board; a used one keeps its sizes, a reserved one its wood."""
        asked = self.body(BoardChangeIn)
        call, units = self.call(asked), self.units(asked)
        done = change_board(call, board=board, units=units, **asked)
        return self.done(done, "board", lambda: shown(self, board))


class MoistureView(View):
    """Moisture of a board."""

    permission_classes = (Worker,)

    @extend_schema(request=MoistureIn, responses=BoardDone)
    def post(self, request: Request, board: int) -> Response:
        """Take down a meter's reading."""
        asked = self.body(MoistureIn)
        call, units = self.call(asked), self.units(asked)
        asked = {name: str(value) for name, value in asked.items()}
        done = read_moisture(call, board=board, units=units, **asked)
        return self.done(done, "board", lambda: shown(self, board))


class VoidMoistureView(View):
    """A moisture reading that was wrong."""

    permission_classes = (Worker,)

    @extend_schema(request=CommandIn, responses=BoardDone)
    def post(self, request: Request, board: int, reading: int) -> Response:
        """Take a reading back; it stays to be seen and counts no more."""
        call = self.call(self.body(CommandIn))
        return self.done(
            void_moisture(call, board=board, reading=reading), "board", lambda: shown(self, board)
        )


class ReserveView(View):
    """A board kept for a piece."""

    permission_classes = (Worker,)

    @extend_schema(request=ReserveIn, responses=BoardDone)
    def post(self, request: Request, board: int) -> Response:
        """Reserve a free board for a piece."""
        return told(self, ReserveIn, reserve_board, board)


class ReleaseView(View):
    """A board given back."""

    permission_classes = (Worker,)

    @extend_schema(request=ReleaseIn, responses=BoardDone)
    def post(self, request: Request, board: int) -> Response:
        """Put a reserved board, or one marked used by mistake, back on the rack."""
        return told(self, ReleaseIn, release_board, board)


class UseView(View):
    """A board used up."""

    permission_classes = (Worker,)

    @extend_schema(request=UseIn, responses=BoardDone)
    def post(self, request: Request, board: int) -> Response:
        """Mark a board used by a piece."""
        return told(self, UseIn, use_board, board)


class OffcutView(View):
    """What a board leaves."""

    permission_classes = (Worker,)

    @extend_schema(request=OffcutIn, responses={200: BoardDone, 201: BoardDone})
    def post(self, request: Request, board: int) -> Response:
        """Put what is left of a used board on the rack, as a board of its own."""
        asked = self.body(OffcutIn)
        call, units = self.call(asked), self.units(asked)
        done = cut_offcut(call, board=board, units=units, **asked)
        return made(self, done)


class WriteOffView(View):
    """A board lost."""

    permission_classes = (Worker,)

    @extend_schema(request=ReasonIn, responses=BoardDone)
    def post(self, request: Request, board: int) -> Response:
        """Take a board off the rack for good, with a reason."""
        return told(self, ReasonIn, write_off_board, board)


def told(view: View, shape: type[Shape], verb: Callable[..., CommandResult], board: int) -> Response:
    """A verb on one board that takes what the body says as it stands."""
    asked = view.body(shape)
    done = verb(view.call(asked), board=board, **asked)
    return view.done(done, "board", lambda: shown(view, board))


def made(view: View, done: CommandResult) -> Response:
    number = done.events[0].data["board"]
    location = reverse("api:board", args=[number])
    return view.done(done, "board", lambda: shown(view, number), location=location)


def shown(view: View, number: int) -> Any:
    return present(board_views([lookups.board(number)], with_money=view.with_money))[0]
