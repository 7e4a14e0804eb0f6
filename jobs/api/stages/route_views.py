"""The route of one piece, and the templates of the shop."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.serializer_bases import CommandIn
from jobs.api.kit.view_bases import View
from jobs.api.pieces.serializers import PieceDone
from jobs.api.pieces.views import shown, undone
from jobs.api.stages.route_serializers import (
    StageAddIn,
    StageMoveIn,
    TemplateDone,
    TemplateIn,
    TemplateOut,
    TemplateVersionIn,
)
from jobs.core.units import Units
from jobs.domain.routes.queries import template_view, template_views
from jobs.domain.stages.route_edits import add_stage, move_stage, remove_stage, set_template


class PieceRouteView(View):
    """The route of one piece."""

    permission_classes = (Worker,)

    @extend_schema(request=StageAddIn, responses=PieceDone)
    def post(self, request: Request, piece: str) -> Response:
        """Put a stage of one's own into a piece's route, after some stages and before others."""
        asked = self.body(StageAddIn)
        call, units = self.call(asked), self.units(asked)
        done = add_stage(call, piece=piece, **asked)
        return self.done(done, "piece", lambda: shown(self, piece, units))


class PieceRouteStageView(View):
    """One stage of a piece's route."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[CommandIn], responses={200: PieceDone})
    def delete(self, request: Request, piece: str, stage: str) -> Response:
        """Take a planned stage out of a piece's route; what came after it comes after what it came after."""
        done = remove_stage(self.call(self.query(CommandIn)), piece=piece, stage=stage)
        return self.done(done, "piece", lambda: shown(self, piece, Units()))


class PieceRouteMoveView(View):
    """A stage moved on its route."""

    permission_classes = (Worker,)

    @extend_schema(request=StageMoveIn, responses=PieceDone)
    def post(self, request: Request, piece: str, stage: str) -> Response:
        """Let a planned stage come after other stages; a ring is refused with its stages named."""
        return undone(self, StageMoveIn, move_stage, piece, stage)


class TemplatesView(View):
    """Route templates with their text."""

    permission_classes = (Owner,)

    @extend_schema(responses=TemplateOut(many=True))
    def get(self, request: Request) -> Response:
        """Every route template in its newest version."""
        return Response(present(template_views()))

    @extend_schema(request=TemplateIn, responses={200: TemplateDone, 201: TemplateDone})
    def post(self, request: Request) -> Response:
        """Set a route template as a new version; running pieces keep the one they started with."""
        asked = self.body(TemplateIn)
        done = set_template(self.call(asked), **asked)
        key = done.events[0].data["key"]
        location = reverse("api:template", args=[key])
        return self.done(done, "template", lambda: present(template_view(key)), location=location)


class TemplateView(View):
    """One route template."""

    permission_classes = (Owner,)

    @extend_schema(parameters=[TemplateVersionIn], responses=TemplateOut)
    def get(self, request: Request, template: str) -> Response:
        """One route template in its newest version, or in an earlier one."""
        return Response(present(template_view(template, **self.query(TemplateVersionIn))))
