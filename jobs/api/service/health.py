"""The health of the service, for whatever watches over it."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.permissions import Anyone
from jobs.api.kit.routes import view_route
from jobs.api.kit.view_bases import View
from jobs.api.service.health_serializers import HealthOut
from jobs.domain.overviews.service_health import reasons, warnings


class HealthView(View):
    """Asked without signing in, and without the database where that is what is wrong."""

    permission_classes = (Anyone,)
    authentication_classes = ()
    any_query = True  # monitors add what they like, to get past caches

    @extend_schema(responses={200: HealthOut, 503: HealthOut}, auth=[])
    def get(self, request: Request) -> Response:
        """The health of worker, sweep, broker and database; 503 with the reasons where one is not well."""
        found = reasons(timezone.now())
        early = [] if found else warnings()
        status = "unwell" if found else "warning" if early else "well"
        shown = HealthOut({"status": status, "reasons": found or early})
        return Response(shown.data, status=503 if found else 200)


@extend_schema(exclude=True)
class HealthSlashView(HealthView):
    """The same under the address as the others are written."""

    permission_classes = (Anyone,)


ROUTES = [
    view_route("health", "health", HealthView),
    view_route("health/", "health-slash", HealthSlashView),
]
