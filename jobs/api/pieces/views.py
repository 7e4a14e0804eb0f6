"""Pieces: add, change, remove."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit import output
from jobs.api.kit.permissions import Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import COMMISSION, route, view_route
from jobs.api.kit.routes import PIECE as PLACE
from jobs.api.kit.serializer_bases import UnitsIn
from jobs.api.kit.view_bases import View
from jobs.api.pieces.serializers import PieceChangeIn, PieceDone, PieceIn, PieceOut
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.commissions.piece_commands import add_piece, change_piece, remove_piece
from jobs.domain.overviews.piece import piece_view
from jobs.domain.waits.queries import read_routes
from jobs.log.commands import CommandContext, CommandResult


def show(view: View, number: str) -> dict[str, Any]:
    read = read_routes([lookups.piece(number)])
    now = timezone.now()
    seen = piece_view(read.routes[0], read.texts, now=now, units=view.units, with_money=view.with_money)
    return output.piece(seen)


PIECE = Resource(
    name="piece", done=PieceDone, show=show, address="piece", key_of=lambda done: done.events[0].data["piece"]
)


def _add(call: CommandContext, *, commission: str, units: Units, **asked: Any) -> CommandResult:
    return add_piece(call, commission=commission, units=units, asked=asked)


def _change(call: CommandContext, *, piece: str, units: Units, **asked: Any) -> CommandResult:
    return change_piece(call, piece=piece, units=units, asked=asked)


class PieceView(View):
    """One piece with its inputs, what was computed, and its route."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[UnitsIn], responses=PieceOut)
    def get(self, request: Request, piece: str) -> Response:
        """One piece."""
        self.use_units(self.query(UnitsIn))
        return Response(show(self, piece))

    patch = PIECE.changes(
        _change, PieceChangeIn, "Change what is asked of a piece: computed again, showing what changed."
    )
    delete = PIECE.removes(remove_piece, "Remove a piece on which nothing has been started.")


ADD = PIECE.makes(_add, PieceIn, "Add a piece: everything is computed and its route is laid.")
ROUTES = [
    route(f"{COMMISSION}pieces/", "pieces", Worker, post=ADD),
    view_route(PLACE, "piece", PieceView),
]
