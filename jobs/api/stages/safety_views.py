"""Safety tasks: what is open, and the word that it was dealt with."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.view_bases import View
from jobs.api.stages.safety_serializers import PutOffIn, SafetyDone, SafetyTaskOut, SettleIn
from jobs.domain.stages.safety import settle_task, snooze_task
from jobs.domain.stages.safety_queries import open_safety_tasks


class SafetyView(View):
    """Safety tasks."""

    permission_classes = (Worker,)

    @extend_schema(responses=SafetyTaskOut(many=True))
    def get(self, request: Request) -> Response:
        """Every open safety task, the oldest first, with its caution."""
        return Response(open_to(request))


class SettleView(View):
    """A safety task dealt with."""

    permission_classes = (Worker,)

    @extend_schema(request=SettleIn, responses=SafetyDone)
    def post(self, request: Request, task: int) -> Response:
        """Say what was done about it; then nobody is asked any more."""
        asked = self.body(SettleIn)
        done = settle_task(self.call(asked), task=task, **asked)
        return self.done(done, "tasks", lambda: open_to(request))


class PutOffView(View):
    """A safety task put off."""

    permission_classes = (Worker,)

    @extend_schema(request=PutOffIn, responses=SafetyDone)
    def post(self, request: Request, task: int) -> Response:
        """Put one's own first reminder off, never past closing time."""
        asked = self.body(PutOffIn)
        done = snooze_task(self.call(asked), task=task, person=request.user.id, **asked)
        return self.done(done, "tasks", lambda: open_to(request))


def open_to(request: Request) -> Any:
    return present(open_safety_tasks(now=timezone.now(), person=request.user.id))
