"""Hours."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.output import present
from jobs.api.permissions import Worker
from jobs.api.serializers.hours import HoursIn, HoursOut
from jobs.api.views.base import View
from jobs.queries.hours import hours


class HoursView(View):
    """Minutes at work."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[HoursIn], responses=HoursOut)
    def get(self, request: Request) -> Response:
        """Minutes at work by commission and by kind of stage, redone work apart."""
        asked = self.query(HoursIn)
        period = {name: asked.get(name) for name in ("since", "until")}
        return Response(present(hours(**period, with_money=self.with_money)))
