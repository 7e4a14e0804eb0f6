"""Calculations: asking one writes nothing. Each has its address, with its inputs described."""

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from calcs.asking.field_types import Habit
from calcs.catalogue import CALCULATIONS, Calculation, find, listing, run
from calcs.kit.errors import Unknown
from jobs.api.calculations.serializers import AnswerOut, CalculationOut, asked_shape
from jobs.api.kit.errors import BadShape
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.schema import WRITES
from jobs.api.kit.serializer_bases import UnitsIn
from jobs.api.kit.view_bases import View
from jobs.core.errors import NotFound
from jobs.domain.stock.woods import with_figures


class CalcsView(View):
    """The calculations there are."""

    permission_classes = (Worker,)

    @extend_schema(responses=CalculationOut(many=True))
    def get(self, request: Request) -> Response:
        """Every calculation that this person may ask, with its inputs, ranges and defaults."""
        return Response([one for one in listing() if self.with_money or not CALCULATIONS[one["name"]].money])


@extend_schema(exclude=True)
class UnknownCalcView(View):
    """A name that no calculation has."""

    permission_classes = (Worker,)

    def post(self, request: Request, name: str) -> Response:
        """The nearest names."""
        try:
            find(name)
        except Unknown as unknown:
            raise NotFound(
                unknown.detail, field="name", value=name[:40], allowed=unknown.allowed
            ) from unknown
        raise NotFound("there is nothing at this address", field="name", value=name)


def view_of(calculation: Calculation) -> type[View]:
    """Return the view that asks one calculation."""

    @extend_schema(
        parameters=[UnitsIn],
        request={"application/json": asked_shape(calculation.asked)},
        responses=AnswerOut,
        extensions={WRITES: False},
    )
    def post(self: View, request: Request) -> Response:
        units = self.use_units({})
        given = request.data
        if not isinstance(given, Mapping):
            raise BadShape([NOT_AN_OBJECT])
        habit = Habit(length=units.length, temperature=units.temperature)
        return Response(vars(run(calculation.name, with_figures(calculation.asked, given), habit)))

    post.__doc__ = calculation.question
    told = {
        "__doc__": calculation.question,
        "permission_classes": (Owner if calculation.money else Worker,),
        "post": post,
    }
    return type(f"{calculation.name.capitalize()}View", (View,), told)


NOT_AN_OBJECT: dict[str, Any] = {
    "detail": "body: not an object",
    "field": "",
    "pointer": "#",
    "value": None,
    "allowed": "an object of inputs by name",
}
VIEWS: Mapping[str, type[View]] = {name: view_of(one) for name, one in CALCULATIONS.items()}
ROUTES = [
    view_route("calcs/", "calcs", CalcsView),
    *(view_route(f"calcs/{name}/", f"calc-{name}", view) for name, view in VIEWS.items()),
    view_route("calcs/<str:name>/", "calc-unknown", UnknownCalcView),
]
