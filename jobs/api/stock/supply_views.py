"""Supplies."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.output import present
from jobs.api.kit.pagination import page_of
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import command_routes, route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.stock.serializers import (
    LevelIn,
    OpenIn,
    PriceSupplyIn,
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
from jobs.domain.stock.supplies import (
    add_supply,
    discard_supply,
    open_supply,
    price_supply,
    refill_supply,
    set_level,
)
from jobs.models import Supply


def _rows(found: list[Supply]) -> Any:
    return present(supply_views(found, today=timezone.localdate()))


def _show(view: View, key: int) -> Any:
    return _rows([lookups.supply(key)])[0]


SUPPLY = Resource(name="supply", done=SupplyDone, show=_show, address="supply", key_of=row_made)


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
        return Response(page_of(found, request, _rows))

    post = SUPPLY.makes(add_supply, SupplyIn, "Put a container on the shelf.")


class SupplyView(View):
    """One container."""

    permission_classes = (Worker,)

    @extend_schema(responses=SupplyOut)
    def get(self, request: Request, supply: int) -> Response:
        """One container, with the day it is best before."""
        return Response(_show(self, supply))


COMMANDS = {
    "open": SUPPLY.changes(open_supply, OpenIn, "Say when a container was opened."),
    "level": SUPPLY.changes(set_level, LevelIn, "Say how much is left."),
    "refill": SUPPLY.changes(
        refill_supply, RefillIn, "Put a fresh lot in the place of an old one: full, not opened yet."
    ),
    "discard": SUPPLY.changes(
        discard_supply, ReasonIn, "Take a container off the shelf for good, with a reason."
    ),
}
PRICE = SUPPLY.changes(
    price_supply, PriceSupplyIn, "Set what a full container costs and holds; pieces then cost their share."
)
ROUTES = [
    view_route("supplies/", "supplies", SuppliesView),
    view_route("supplies/<key:supply>/", "supply", SupplyView),
    *command_routes("supplies/<key:supply>/", Worker, COMMANDS, name="supply-{}"),
    route("supplies/<key:supply>/price/", "supply-price", Owner, post=PRICE),
]
