"""The published plan."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.view_bases import View
from jobs.api.planning.plan_serializers import PlanOut
from jobs.domain.overviews.plan.whole import whole_plan


class PlanView(View):
    """The plan."""

    permission_classes = (Worker,)

    @extend_schema(operation_id="plan_get", responses=PlanOut)
    def get(self, request: Request) -> Response:
        """The last good plan: work, waits, when each commission is ready, what moved since yesterday."""
        return Response(present(whole_plan(timezone.now(), owner=request.user.is_owner)))


ROUTES = [view_route("plan/", "plan", PlanView)]
