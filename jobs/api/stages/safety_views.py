"""Safety tasks: list the open ones, settle one, put its reminder off."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import command_routes, view_route
from jobs.api.kit.view_bases import View
from jobs.api.stages.safety_serializers import PutOffIn, SafetyDone, SafetyTaskOut, SettleIn
from jobs.domain.stages.safety import settle_task, snooze_task
from jobs.domain.stages.safety_queries import open_safety_tasks


def _show(view: View, key: None = None) -> Any:
    return present(open_safety_tasks(now=timezone.now(), person=view.request.user.id))


TASKS = Resource(name="tasks", done=SafetyDone, show=_show)


class SafetyView(View):
    """Safety tasks."""

    permission_classes = (Worker,)

    @extend_schema(responses=SafetyTaskOut(many=True))
    def get(self, request: Request) -> Response:
        """Every open safety task, the oldest first, with its caution."""
        return Response(_show(self))


COMMANDS = {
    "settle": TASKS.changes(
        settle_task, SettleIn, "Say what was done about it; then nobody is asked any more."
    ),
    "put-off": TASKS.changes(
        snooze_task, PutOffIn, "Put one's own first reminder off, never past closing time."
    ),
}
ROUTES = [
    view_route("safety/", "safety", SafetyView),
    *command_routes("safety/<key:task>/", Worker, COMMANDS),
]
