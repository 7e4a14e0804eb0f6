"""Temperature and humidity, handed in by sensors and by people."""

from datetime import timedelta
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.climate.serializers import (
    AirReadingOut,
    AirReadingPage,
    ClimateIn,
    ClimateOut,
    OneIn,
    ReadingsIn,
    TakenOut,
    WhichIn,
)
from jobs.api.kit.auth import Sensor
from jobs.api.kit.errors import BadShape
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import SensorHandsIn, Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.shapes import checked
from jobs.api.kit.view_bases import View
from jobs.core.errors import Invalid, ShopError
from jobs.domain.climate.air_history import HABIT_DAYS
from jobs.domain.climate.readings import Refused, Taken, take_readings, void_reading
from jobs.domain.overviews.climate import climate_view
from jobs.models import Reading

SENSORS_UNIT = "C"
FURTHEST = timedelta(days=366)


class ReadingsView(View):
    """The air of the shop."""

    permission_classes = (SensorHandsIn,)

    @extend_schema(parameters=[WhichIn], responses=AirReadingPage)
    def get(self, request: Request) -> Response:
        """Readings, the one taken down last first."""
        asked = self.query(WhichIn)
        found = Reading.objects.all()
        for name, lookup in (("place", "place"), ("since", "at__gte"), ("until", "at__lte")):
            if name in asked:
                found = found.filter(**{lookup: asked[name]})
        return Response(page_of(found, request, lambda rows: list(AirReadingOut(rows, many=True).data)))

    @extend_schema(request=ReadingsIn, responses=TakenOut)
    def post(self, request: Request) -> Response:
        """Hand in one reading or a list; of a list the impossible are refused one by one, the rest kept."""
        asked = self.body(ReadingsIn)
        source, unit = _who(request)
        unit = asked.pop("temperature_unit", unit)
        listed = asked.pop("readings", None)
        if listed is None:
            taken = take_readings([asked], source=source, temperature_unit=unit, now=timezone.now())
            if taken.refused:
                raise _invalid(taken.refused[0])
            return Response(_told(taken))
        if asked:
            name = next(iter(asked))
            raise Invalid(
                "this belongs into the list", field=name, value=str(asked[name])[:60], allowed="nothing"
            )
        taken = take_readings(
            [_entry(entry) for entry in listed], source=source, temperature_unit=unit, now=timezone.now()
        )
        return Response(_told(taken))


class ClimateView(View):
    """A summary of the readings."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[ClimateIn], responses=ClimateOut)
    def get(self, request: Request) -> Response:
        """The air of a place in means of quarter hours, with its habit and what is expected next."""
        asked, now = self.query(ClimateIn), timezone.now()
        since = asked.get("since", now - timedelta(days=HABIT_DAYS))
        if since < now - FURTHEST:
            raise Invalid("too far back", field="since", value=since.isoformat(), allowed="a year at most")
        return Response(ClimateOut(climate_view(asked.get("place", ""), since=since)).data)


class VoidView(View):
    """A bad reading."""

    permission_classes = (Worker,)
    without_body = ("POST", "DELETE")

    @extend_schema(request=None, responses=AirReadingOut)
    def post(self, request: Request, reading: int) -> Response:
        """Take a bad reading out of every calculation; it stays to be seen."""
        voided = void_reading(reading, by=request.user.id, now=timezone.now())
        return Response(AirReadingOut(voided).data)


def _who(request: Request) -> tuple[str, str]:
    """Return the source of a reading and the unit of its bare temperatures."""
    if isinstance(request.user, Sensor):
        return request.user.source, SENSORS_UNIT
    return request.user.id, request.user.temperature_unit


def _entry(entry: Any) -> dict[str, Any] | ShopError:
    try:
        return checked(OneIn, entry, in_body=True)
    except BadShape as bad:
        told = bad.errors[0]
        return Invalid(told["detail"], field=told["field"], value=told["value"], allowed=told["allowed"])


def _invalid(one: Refused) -> Invalid:
    return Invalid(one.detail, field=one.field, value=one.value, allowed=one.allowed)


def _told(taken: Taken) -> dict[str, Any]:
    first = taken.kept[0] if taken.kept else None
    shown = {"kept": len(taken.kept), "first": first, "repeated": taken.repeated, "refused": taken.refused}
    return dict(TakenOut(shown).data)


ROUTES = [
    view_route("climate/", "climate", ClimateView),
    view_route("readings/", "readings", ReadingsView),
    view_route("readings/<key:reading>/void/", "reading-void", VoidView),
]
