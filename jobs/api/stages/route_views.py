"""The route of one piece, and the templates of the shop."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import PIECE as PLACE
from jobs.api.kit.routes import route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.pieces.views import PIECE
from jobs.api.stages.route_serializers import (
    StageAddIn,
    StageMoveIn,
    TemplateDone,
    TemplateIn,
    TemplateOut,
    TemplateVersionIn,
)
from jobs.domain.routes.queries import template_view, template_views
from jobs.domain.stages.route_edits import add_stage, move_stage, remove_stage, set_template


def _show(view: View, key: str) -> Any:
    return present(template_view(key))


TEMPLATE = Resource(
    name="template", done=TemplateDone, show=_show, address="template",
    key_of=lambda done: done.events[0].data["key"],
)  # fmt: skip


class TemplatesView(View):
    """Route templates with their text."""

    permission_classes = (Owner,)

    @extend_schema(responses=TemplateOut(many=True))
    def get(self, request: Request) -> Response:
        """Every route template in its newest version."""
        return Response(present(template_views()))

    post = TEMPLATE.makes(
        set_template, TemplateIn,
        "Set a route template as a new version; running pieces keep the one they started with.",
    )  # fmt: skip


class TemplateView(View):
    """One route template."""

    permission_classes = (Owner,)

    @extend_schema(parameters=[TemplateVersionIn], responses=TemplateOut)
    def get(self, request: Request, template: str) -> Response:
        """One route template in its newest version, or in an earlier one."""
        return Response(present(template_view(template, **self.query(TemplateVersionIn))))


ADD = PIECE.changes(
    add_stage, StageAddIn,
    "Put a stage of one's own into a piece's route, after some stages and before others.",
)  # fmt: skip
REMOVE = PIECE.removes(
    remove_stage,
    "Take a planned stage out of a piece's route; what came after it comes after what it came after.",
)
MOVE = PIECE.changes(
    move_stage, StageMoveIn,
    "Let a planned stage come after other stages; a ring is refused with its stages named.",
)  # fmt: skip
ROUTES = [
    route(f"{PLACE}route/", "piece-route", Worker, post=ADD),
    route(f"{PLACE}route/<str:stage>/", "route-stage", Worker, delete=REMOVE),
    route(f"{PLACE}route/<str:stage>/move/", "route-move", Worker, post=MOVE),
    view_route("templates/", "templates", TemplatesView),
    view_route("templates/<str:template>/", "template", TemplateView),
]
