"""Supplies."""

from collections.abc import Callable
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Worker
from jobs.api.kit.shapes import Shape
from jobs.api.kit.view_bases import View
from jobs.api.stock.serializers import (
    LevelIn,
    OpenIn,
    ReasonIn,
    RefillIn,
    SuppliesIn,
    SupplyDone,
    SupplyIn,
    SupplyOut,
    SupplyPage,
)
from jobs.domain import lookups
from jobs.domain.stock.queries import supply_views
from jobs.domain.stock.supplies import add_supply, discard_supply, open_supply, refill_supply, set_level
from jobs.log.commands import CommandResult
from jobs.models import Supply
from jobs.models.bases import row_key


class SuppliesView(View):
    """The shelf."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[SuppliesIn], responses=SupplyPage)
    def get(self, request: Request) -> Response:
        """Supplies on the shelf, newest first."""
        asked = self.query(SuppliesIn)
        found = Supply.objects.filter(discarded_at__isnull=not asked.get("discarded", False))
        if "kind" in asked:
            found = found.filter(kind=asked["kind"])
        return Response(page_of(found, request, shown_all))

    @extend_schema(request=SupplyIn, responses={200: SupplyDone, 201: SupplyDone})
    def post(self, request: Request) -> Response:
        """Put a container on the shelf."""
        asked = self.body(SupplyIn)
        done = add_supply(self.call(asked), **asked)
        key = row_key(done.events[0].seq)
        return self.done(done, "supply", lambda: shown(key), location=f"{request.path}{key}/")


class SupplyView(View):
    """One container."""

    permission_classes = (Worker,)

    @extend_schema(responses=SupplyOut)
    def get(self, request: Request, supply: int) -> Response:
        """One container, with the day it is best before."""
        return Response(shown(supply))


class OpenView(View):
    """A container opened."""

    permission_classes = (Worker,)

    @extend_schema(request=OpenIn, responses=SupplyDone)
    def post(self, request: Request, supply: int) -> Response:
        """Say when a container was opened."""
        return told(self, OpenIn, open_supply, supply)


class LevelView(View):
    """The level of a container."""

    permission_classes = (Worker,)

    @extend_schema(request=LevelIn, responses=SupplyDone)
    def post(self, request: Request, supply: int) -> Response:
        """Say how much is left."""
        return told(self, LevelIn, set_level, supply)


class RefillView(View):
    """A fresh lot."""

    permission_classes = (Worker,)

    @extend_schema(request=RefillIn, responses=SupplyDone)
    def post(self, request: Request, supply: int) -> Response:
        """Put a fresh lot in the place of an old one: full, not opened yet."""
        return told(self, RefillIn, refill_supply, supply)


class DiscardView(View):
    """A container thrown away."""

    permission_classes = (Worker,)

    @extend_schema(request=ReasonIn, responses=SupplyDone)
    def post(self, request: Request, supply: int) -> Response:
        """Take a container off the shelf for good, with a reason."""
        return told(self, ReasonIn, discard_supply, supply)


def told(view: View, shape: type[Shape], verb: Callable[..., CommandResult], supply: int) -> Response:
    asked = view.body(shape)
    done = verb(view.call(asked), supply=supply, **asked)
    return view.done(done, "supply", lambda: shown(supply))


def shown_all(rows: list[Supply]) -> Any:
    return present(supply_views(rows, today=timezone.localdate()))


def shown(key: int) -> Any:
    return shown_all([lookups.supply(key)])[0]
