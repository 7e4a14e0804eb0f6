"""Boards."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import command_routes, route, view_route
from jobs.api.kit.serializer_bases import CommandIn
from jobs.api.kit.view_bases import View
from jobs.api.stock.serializers import (
    BillIn,
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
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.stock.bills import price_boards
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
from jobs.log.commands import CommandContext, CommandResult


def _show(view: View, number: int) -> Any:
    return present(board_views([lookups.board(number)], with_money=view.with_money))[0]


BOARD = Resource(
    name="board", done=BoardDone, show=_show, address="board",
    key_of=lambda done: done.events[0].data["board"],
)  # fmt: skip


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

    post = BOARD.makes(add_board, BoardIn, "Add a board; its number is to be chalked on it.")


class BoardView(View):
    """One board."""

    permission_classes = (Worker,)

    @extend_schema(responses=BoardOut)
    def get(self, request: Request, board: int) -> Response:
        """One board with its moisture readings."""
        return Response(_show(self, board))

    patch = BOARD.changes(
        change_board, BoardChangeIn,
        "Change what was typed of a board; a used one keeps its sizes, a reserved one its wood.",
    )  # fmt: skip


def _read_moisture(call: CommandContext, *, board: int, units: Units, **asked: Any) -> CommandResult:
    typed = {name: str(value) for name, value in asked.items()}
    return read_moisture(call, board=board, units=units, **typed)


PRICE = BOARD.changes(
    price_boards, BillIn, "Lay the sum of a bill on boards without a price, by their board feet, to the cent."
)
VOID_MOISTURE = BOARD.changes(
    void_moisture, CommandIn, "Take a reading back; it stays to be seen and counts no more."
)
COMMANDS = {
    "moisture": BOARD.changes(_read_moisture, MoistureIn, "Take down a meter's reading."),
    "reserve": BOARD.changes(reserve_board, ReserveIn, "Reserve a free board for a piece."),
    "release": BOARD.changes(
        release_board, ReleaseIn, "Put a reserved board, or one marked used by mistake, back on the rack."
    ),
    "use": BOARD.changes(use_board, UseIn, "Mark a board used by a piece."),
    "offcut": BOARD.makes(
        cut_offcut, OffcutIn, "Put what is left of a used board on the rack, as a new board."
    ),
    "write-off": BOARD.changes(
        write_off_board, ReasonIn, "Take a board off the rack for good, with a reason."
    ),
}
ONE = "boards/<key:board>/"
ROUTES = [
    view_route("boards/", "boards", BoardsView),
    view_route(ONE, "board", BoardView),
    route("boards/price/", "boards-price", Owner, post=PRICE),
    *command_routes(ONE, Worker, COMMANDS, name="board-{}"),
    route(f"{ONE}moisture/<key:reading>/void/", "board-moisture-void", Worker, post=VOID_MOISTURE),
]
