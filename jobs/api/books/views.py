"""What was bought for commissions, what they cost and earned. For the owner."""

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.books.serializers import (
    CostCorrectionIn,
    CostIn,
    CostsDone,
    CostSheetOut,
    CostVoidIn,
    ProfitOut,
    TaxSummaryOut,
)
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import COMMISSION, route, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.notes.views import TakesPicture
from jobs.core import blobs
from jobs.core.errors import NotFound
from jobs.domain import lookups
from jobs.domain.books.actual import sheet_view
from jobs.domain.books.bookkeeping import books_csv
from jobs.domain.books.costs import add_cost, correct_cost, void_cost
from jobs.domain.books.profit import profit_of_year
from jobs.domain.books.tax_return import tax_summary
from jobs.log.private_texts import FORGOTTEN, read


def _show(view: View, number: str) -> Any:
    return present(sheet_view(lookups.commission(number)))


COSTS = Resource(
    name="costs", done=CostsDone, show=_show,
    key_of=lambda done: done.events[0].data["commission"],
)  # fmt: skip


class CostsView(TakesPicture):
    """What a commission cost and earned."""

    permission_classes = (Owner,)

    @extend_schema(responses=CostSheetOut)
    def get(self, request: Request, commission: str) -> Response:
        """Quoted and actual costs of a commission, its profit, and what is not known."""
        return Response(_show(self, commission))

    post = COSTS.makes(add_cost, CostIn, "Add something bought for a commission.")


class ReceiptView(FileView):
    """The receipt of a cost."""

    permission_classes = (Owner,)

    @extend_schema(responses={(200, "image/jpeg"): OpenApiTypes.BINARY})
    def get(self, request: Request, cost: int) -> HttpResponse:
        """The picture of the receipt as a JPEG."""
        name = read(lookups.cost(cost).picture_ref)
        if name in ("", FORGOTTEN):
            raise NotFound("this cost has no picture", field="cost", value=cost)
        return self.kept_file(blobs.load(name), "image/jpeg", version=name)


class BooksView(FileView):
    """A year, a quarter or a month for the bookkeeper."""

    permission_classes = (Owner,)

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.BINARY})
    def get(self, request: Request, period: str) -> HttpResponse:
        """Invoices, credit notes, payments and purchases as CSV of a period: 2026, 2026-Q3 or 2026-07.

        UTF-8, no cell that a spreadsheet would run.
        """
        return HttpResponse(
            books_csv(period), content_type="text/csv; charset=utf-8",
            headers={"Content-Disposition": f'attachment; filename="{period}.csv"'},
        )  # fmt: skip


class TaxView(View):
    """Base and tax of a period."""

    permission_classes = (Owner,)
    operation_suffix = "_2"

    @extend_schema(responses=TaxSummaryOut)
    def get(self, request: Request, period: str) -> Response:
        """Base and tax by category and rate of a year, a quarter or a month: 2026, 2026-Q3 or 2026-07."""
        return Response(present(tax_summary(period)))


class ProfitView(View):
    """Profit of a year."""

    permission_classes = (Owner,)

    @extend_schema(responses=ProfitOut)
    def get(self, request: Request, year: int) -> Response:
        """Income, costs and profit of a year by month and by order, and of the year before."""
        return Response(present(profit_of_year(year)))


VOID = COSTS.changes(void_cost, CostVoidIn, "Void a cost; it stays on record and counts no more.")
CORRECT = COSTS.changes(correct_cost, CostCorrectionIn, "Void a mistyped cost and add the right one at once.")
ROUTES = [
    view_route(f"{COMMISSION}costs/", "costs", CostsView),
    route("costs/<key:cost>/void/", "void-cost", Owner, post=VOID),
    route("costs/<key:cost>/correct/", "correct-cost", Owner, post=CORRECT),
    view_route("bookkeeping/<str:period>/", "bookkeeping", BooksView),
    view_route("profit/<key:year>/", "profit", ProfitView),
    view_route("tax/<str:period>/", "tax", TaxView),
    view_route("costs/<key:cost>/receipt/", "cost-receipt", ReceiptView),
]
