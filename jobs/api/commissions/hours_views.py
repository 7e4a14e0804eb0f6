"""Hours."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.commissions.hours_serializers import HoursIn, HoursOut, OwnRateOut, QuotedHoursOut
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.routes import COMMISSION, view_route
from jobs.api.kit.view_bases import View
from jobs.domain import lookups
from jobs.domain.commissions.hours import hours
from jobs.domain.quoting.quoted_hours import own_rates, quoted_against_actual


class HoursView(View):
    """Minutes at work."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[HoursIn], responses=HoursOut)
    def get(self, request: Request) -> Response:
        """Minutes at work by commission and by kind of stage, redone work apart."""
        asked = self.query(HoursIn)
        period = {name: asked.get(name) for name in ("since", "until")}
        return Response(present(hours(**period, with_money=self.with_money)))


class OwnRatesView(View):
    """The time that the shop's own work takes."""

    permission_classes = (Owner,)

    @extend_schema(responses=OwnRateOut(many=True))
    def get(self, request: Request) -> Response:
        """Minutes of each kind of stage, for each piece, joint or square foot: median, range, jobs."""
        return Response(present(own_rates()))


class QuotedHoursView(View):
    """Quoted against actual."""

    permission_classes = (Owner,)

    @extend_schema(responses=QuotedHoursOut)
    def get(self, request: Request, commission: str) -> Response:
        """Minutes of a commission by kind of stage: quoted, spent, done again, and the difference."""
        return Response(present(quoted_against_actual(lookups.commission(commission))))


ROUTES = [
    view_route("hours/", "hours", HoursView),
    view_route("hours/rates/", "own-rates", OwnRatesView),
    view_route(f"{COMMISSION}hours/", "commission-hours", QuotedHoursView),
]
