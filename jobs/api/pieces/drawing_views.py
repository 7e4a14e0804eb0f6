"""The drawings of a piece: which there are, each as SVG or as a template, all on sheets."""

from collections.abc import Callable
from functools import partial

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from calcs.drawing.sheets import TITLES, VIEWS
from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import PIECE, view_route
from jobs.api.kit.shapes import Shape
from jobs.api.kit.view_bases import FileView, View
from jobs.core.errors import NotFound
from jobs.documents.drawings import drawings_pdf, piece_sheets, template_dxf
from jobs.domain import lookups
from jobs.domain.pieces.drawing import usual_view, views_of
from jobs.models import Piece


class DrawingQuery(Shape):
    """The drawing that is asked for."""

    view = serializers.ChoiceField(
        VIEWS, required=False, help_text="The glue-up plan where nothing is asked, else the client drawing."
    )


class DrawingOut(serializers.Serializer):
    """A drawing that a piece has."""

    view = serializers.ChoiceField(VIEWS)
    title = serializers.CharField()


class DrawingsView(View):
    """The drawings of a piece."""

    permission_classes = (Worker,)

    @extend_schema(responses=DrawingOut(many=True))
    def get(self, request: Request, piece: str) -> Response:
        """The drawings that the piece has, of what was figured; none where its size is not known."""
        found = lookups.piece(piece)
        views = views_of(found.computed, found.inputs)
        return Response([{"view": view, "title": TITLES[view]} for view in views])


class DrawingView(FileView):
    """One drawing of a piece as SVG."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[DrawingQuery], responses={(200, "image/svg+xml"): OpenApiTypes.STR})
    def get(self, request: Request, piece: str) -> HttpResponse:
        """A sheet to scale with its title block, of the size of the shop's paper in mm."""
        found = lookups.piece(piece)
        today = timezone.localdate()

        def sheet(view: str) -> str | None:
            return piece_sheets(found, today=today, views=(view,)).get(view)

        return _file(found, self.query(DrawingQuery).get("view"), sheet, "svg", "image/svg+xml")


class TemplateView(FileView):
    """One view of a piece as a template."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[DrawingQuery], responses={(200, "image/vnd.dxf"): OpenApiTypes.STR})
    def get(self, request: Request, piece: str) -> HttpResponse:
        """DXF R12, 1:1 in the shop's unit, a layer for each kind of line."""
        found = lookups.piece(piece)
        view = self.query(DrawingQuery).get("view")
        return _file(found, view, partial(template_dxf, found), "dxf", "image/vnd.dxf")


class DrawingsPdfView(FileView):
    """All drawings of a piece on paper."""

    permission_classes = (Worker,)

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request: Request, piece: str) -> HttpResponse:
        """Every sheet of the piece, one a page, on letter or A4 as the shop has it."""
        found = lookups.piece(piece)
        made = drawings_pdf([found], today=timezone.localdate())
        if made is None:
            raise _nothing(piece)
        return HttpResponse(
            made,
            content_type="application/pdf",
            headers={"Content-Disposition": f'inline; filename="drawings-{found.number}.pdf"'},
        )


def _file(
    piece: Piece, asked: str | None, make: Callable[[str], str | None], ending: str, content_type: str
) -> HttpResponse:
    """Return a drawing as a file; 404 where the piece does not have it."""
    views = views_of(piece.computed, piece.inputs)
    view = asked or usual_view(views)
    made = make(view) if view in views else None
    if made is None:
        raise _nothing(piece.number, asked)
    name = f"{piece.number}-{view}.{ending}"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(made, content_type=content_type, headers=headers)


def _nothing(piece: str, view: str | None = None) -> NotFound:
    if view:
        return NotFound(f"piece {piece} has no drawing {view}", field="view", value=view)
    return NotFound(f"piece {piece} has no size to draw", field="piece", value=piece)


ROUTES = [
    view_route(f"{PIECE}drawings/", "drawings", DrawingsView),
    view_route(f"{PIECE}drawing.svg", "drawing", DrawingView),
    view_route(f"{PIECE}drawing.dxf", "drawing-template", TemplateView),
    view_route(f"{PIECE}drawings.pdf", "drawings-pdf", DrawingsPdfView),
]
