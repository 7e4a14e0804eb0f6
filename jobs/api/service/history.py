"""The log as a feed, and whether it holds."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.permissions import Owner
from jobs.api.kit.routes import view_route
from jobs.api.kit.view_bases import View
from jobs.api.service.history_serializers import USUAL_EVENTS, EventsIn, EventsOut, LogOut
from jobs.log.history import feed
from jobs.log.integrity import verify_all
from jobs.models import LogHead


class EventsView(View):
    """The feed of events: numbers without gaps, nothing late."""

    permission_classes = (Owner,)

    @extend_schema(parameters=[EventsIn], responses=EventsOut)
    def get(self, request: Request) -> Response:
        """Events after a number, in their order."""
        asked = {"after": 0, "limit": USUAL_EVENTS, **self.query(EventsIn)}
        head = LogHead.objects.filter(id=1).first() or LogHead()
        events = feed(**asked)
        last = events[-1]["seq"] if events else asked["after"]
        return Response({"events": events, "last": last, "head": head.seq})


class LogView(View):
    """The chain of the log."""

    permission_classes = (Owner,)

    @extend_schema(responses=LogOut)
    def get(self, request: Request) -> Response:
        """Verify the whole chain and the texts now; the first event that breaks it is named."""
        return Response(vars(verify_all()))


ROUTES = [
    view_route("events/", "events", EventsView),
    view_route("log/", "log", LogView),
]
