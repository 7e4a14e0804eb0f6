"""The job sheet of a piece, which the bench works from, and its wood."""

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import PIECE, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.pieces.job_sheet_serializers import JobSheetOut, WoodQuery
from jobs.core.errors import NotFound
from jobs.domain import lookups
from jobs.domain.commissions.job_sheet import job_sheet
from jobs.domain.pieces.wood import wood_drawing
from jobs.domain.waits.queries import read_routes


class JobSheetView(View):
    """The job sheet of a piece."""

    permission_classes = (Worker,)

    @extend_schema(responses=JobSheetOut)
    def get(self, request: Request, piece: str) -> Response:
        """Rip list, slots, glue, clamps, coats, lifts, what to check, and the cautions; no prices."""
        read = read_routes([lookups.piece(piece)])
        return Response(present(job_sheet(read.routes[0], read.texts)))


class WoodView(FileView):
    """The drawn wood of a piece."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[WoodQuery], responses={(200, "image/svg+xml"): OpenApiTypes.STR})
    def get(self, request: Request, piece: str) -> Any:
        """The top from above, strip by strip, in its species; 404 where the piece has no size."""
        found = lookups.piece(piece)
        drawn = wood_drawing(found, small=self.query(WoodQuery)["small"])
        if drawn is None:
            raise NotFound(f"piece {piece} has no size to draw", field="piece", value=piece)
        return _picture(drawn, f"{found.number}-wood")


def _picture(drawn: str, name: str) -> HttpResponse:
    return HttpResponse(
        drawn,
        content_type="image/svg+xml",
        headers={"Content-Disposition": f'inline; filename="{name}.svg"'},
    )


ROUTES = [
    view_route(f"{PIECE}job-sheet/", "job-sheet", JobSheetView),
    view_route(f"{PIECE}wood.svg", "wood", WoodView),
]
