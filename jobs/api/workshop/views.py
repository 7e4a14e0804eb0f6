"""The shop's settings, product sheets, species and routes."""

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from calcs.kit.errors import CalcError
from calcs.kit.length_reading import parse_length
from calcs.materials.own_woods import wood_of
from calcs.materials.species import species_list
from jobs.api.kit.fields import LengthOut
from jobs.api.kit.output import length, present
from jobs.api.kit.permissions import Owner, OwnerChanges, Worker
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.workshop.serializers import (
    LengthIn,
    LogoIn,
    RouteOut,
    SheetDone,
    SheetIn,
    SheetOut,
    SheetsIn,
    ShopDone,
    ShopIn,
    ShopOut,
    SpeciesOut,
)
from jobs.core.errors import NotFound
from jobs.core.units import Units
from jobs.domain.routes import all_routes
from jobs.domain.stock.product_sheets import SHEET_KINDS, product
from jobs.domain.stock.woods import own_woods
from jobs.domain.workshop.commands import set_sheet, set_shop
from jobs.domain.workshop.logo import ALONE, remove_logo, set_logo, the_logo
from jobs.domain.workshop.queries import sheet_view, sheet_views, shop_view
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.projections.shop import PRIVATE


def _show_shop(view: View, key: None) -> Any:
    return present(shop_view())


def _show_sheet(view: View, key: tuple[str, str]) -> Any:
    return present(sheet_view(key[0], product(*key)))


SHOP = Resource(name="shop", done=ShopDone, show=_show_shop)
SHEET = Resource(
    name="sheet", done=SheetDone, show=_show_sheet, address="sheet",
    key_of=lambda done: (done.events[0].data["kind"], done.events[0].data["key"]),
)  # fmt: skip


def _set_shop(call: CommandContext, *, units: Units, **asked: Any) -> CommandResult:
    texts = {name: asked.pop(name) for name in PRIVATE if name in asked}
    return set_shop(call, settings=asked, units=units, **texts)


def _set_sheet(call: CommandContext, **asked: Any) -> CommandResult:
    try:
        return set_sheet(call, **asked)
    except CalcError as refused:
        refused.field = f"data.{_name_of(refused, asked['data'])}"
        raise


def _name_of(refused: CalcError, data: dict[str, Any]) -> str:
    """Return the field at fault; for a name that no sheet has, the name itself."""
    unknown = isinstance(refused.value, str) and refused.value in data and refused.field not in data
    return str(refused.value) if unknown else refused.field


class ShopView(View):
    """The shop's settings: name and address for papers, rates, usual air, taxes."""

    permission_classes = (Owner,)

    @extend_schema(responses=ShopOut)
    def get(self, request: Request) -> Response:
        """The settings as they stand."""
        return Response(present(shop_view()))

    patch = SHOP.changes(_set_shop, ShopIn, "Set some of the settings.")


class LogoView(FileView):
    """The logo of the shop's papers."""

    permission_classes = (Owner,)

    @extend_schema(
        responses={
            (200, "image/png"): OpenApiTypes.BINARY,
            (200, "image/svg+xml"): OpenApiTypes.BINARY,
            304: OpenApiResponse(description="The logo you have is the logo."),
        },
    )
    def get(self, request: Request) -> HttpResponse:
        """The logo as a PNG or an SVG."""
        name, content, content_type = the_logo()
        return self.kept_file(content, content_type, version=name, **{"Content-Security-Policy": ALONE})

    post = SHOP.changes(set_logo, LogoIn, "Set the logo; papers issued from now on have it.")
    delete = SHOP.removes(remove_logo, "Take the logo off the papers to come; issued ones keep it.")


class SheetsView(View):
    """Product sheets of glues and finishes, and of woods outside the table."""

    permission_classes = (OwnerChanges,)

    @extend_schema(parameters=[SheetsIn], responses=SheetOut(many=True))
    def get(self, request: Request) -> Response:
        """Every product in its newest version, the defaults of the classes among them."""
        asked = self.query(SheetsIn)
        kinds = [asked["kind"]] if "kind" in asked else SHEET_KINDS
        return Response([present(one) for kind in kinds for one in sheet_views(kind)])

    post = SHEET.makes(_set_sheet, SheetIn, "Enter a product's own data as a new version of its sheet.")


class SheetView(View):
    """One product sheet."""

    permission_classes = (Worker,)

    @extend_schema(responses=SheetOut)
    def get(self, request: Request, kind: str, sheet: str) -> Response:
        """One product in its newest version."""
        if kind not in SHEET_KINDS:
            allowed = ", ".join(SHEET_KINDS)
            raise NotFound("no such kind of sheet", field="kind", value=kind[:40], allowed=allowed)
        return Response(present(sheet_view(kind, product(kind, sheet))))


class LengthView(View):
    """The reading of a length as typed."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[LengthIn], responses=LengthOut)
    def get(self, request: Request) -> Response:
        """A length as typed, in both units, or why it cannot be read."""
        asked = self.query(LengthIn)
        read = parse_length(asked["text"], unit=self.use_units(asked).length, field="text")
        return Response(length(read.units))


class SpeciesView(View):
    """The species of wood that calculations know."""

    permission_classes = (Worker,)

    @extend_schema(responses=SpeciesOut(many=True))
    def get(self, request: Request) -> Response:
        """Every species with its figures and their sources, the shop's own woods last."""
        own = (wood_of(sheet.line) for sheet in own_woods().values())
        return Response(present([vars(one) for one in (*species_list(), *own)]))


class RoutesView(View):
    """Route templates."""

    permission_classes = (Worker,)

    @extend_schema(responses=RouteOut(many=True))
    def get(self, request: Request) -> Response:
        """Every route template, the shop's own files among them."""
        routes: list[dict[str, Any]] = [vars(route) for _, route in sorted(all_routes().items())]
        return Response(present(routes))


ROUTES = [
    view_route("shop/", "shop", ShopView),
    view_route("shop/logo/", "shop-logo", LogoView),
    view_route("sheets/", "sheets", SheetsView),
    view_route("sheets/<str:kind>/<str:sheet>/", "sheet", SheetView),
    view_route("length/", "length", LengthView),
    view_route("species/", "species", SpeciesView),
    view_route("routes/", "routes", RoutesView),
]
