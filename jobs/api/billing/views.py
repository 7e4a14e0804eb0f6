"""What clients owe, money given back, receipts and statements, and the bookkeeper's year."""

from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.billing.serializers import ReceiptIn, ReceivablesOut, RepaymentIn, StatementIn, VoidIn
from jobs.api.commissions.serializers import CommissionDone
from jobs.api.commissions.views import changed
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner
from jobs.api.kit.view_bases import View
from jobs.api.papers.serializers import PaperDone
from jobs.api.papers.views import FileView, shown
from jobs.domain import lookups
from jobs.domain.billing.payments import record_repayment, void_payment
from jobs.domain.billing.queries import receivables, year_csv
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.log.commands import CommandContext, CommandResult


class ReceivablesView(View):
    """Open invoices."""

    permission_classes = (Owner,)

    @extend_schema(responses=ReceivablesOut)
    def get(self, request: Request) -> Response:
        """Open invoices and each client's sums by days after the due date."""
        return Response(present(receivables(today=timezone.localdate())))


class YearView(FileView):
    """A year for the bookkeeper."""

    permission_classes = (Owner,)

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.BINARY})
    def get(self, request: Request, year: int) -> HttpResponse:
        """Invoices, credit notes and payments as CSV: UTF-8, no cell that a spreadsheet would run."""
        return HttpResponse(
            year_csv(year), content_type="text/csv; charset=utf-8",
            headers={"Content-Disposition": f'attachment; filename="{year}.csv"'},
        )  # fmt: skip


class RepaymentsView(View):
    """Money given back."""

    permission_classes = (Owner,)

    @extend_schema(request=RepaymentIn, responses={200: CommissionDone, 201: CommissionDone})
    def post(self, request: Request, commission: str) -> Response:
        """Record money given back: at most what was received and no invoice needs."""
        at = reverse("api:commission", args=[commission])
        return changed(self, RepaymentIn, record_repayment, commission, location=at)


class VoidView(View):
    """A payment that was mistyped."""

    permission_classes = (Owner,)

    @extend_schema(request=VoidIn, responses=CommissionDone)
    def post(self, request: Request, payment: int) -> Response:
        """Void a payment or repayment while nothing rests on it; it stays on record."""
        number = lookups.payment(payment).commission.number

        def void(call: CommandContext, *, commission: str, **asked: Any) -> CommandResult:
            return void_payment(call, payment=payment, **asked)

        return changed(self, VoidIn, void, number)


class ReceiptView(View):
    """The receipt of a payment."""

    permission_classes = (Owner,)

    @extend_schema(request=ReceiptIn, responses={200: PaperDone, 201: PaperDone})
    def post(self, request: Request, payment: int) -> Response:
        """Issue the receipt of a payment; one for each."""
        return _issued(self, issue_receipt(self.call(self.body(ReceiptIn)), payment=payment))


class StatementView(View):
    """Statements of a client's account."""

    permission_classes = (Owner,)

    @extend_schema(request=StatementIn, responses={200: PaperDone, 201: PaperDone})
    def post(self, request: Request, client: int) -> Response:
        """Issue a statement of everything billed and received, as it stands today."""
        return _issued(self, issue_statement(self.call(self.body(StatementIn)), client=client))


def _issued(view: View, done: CommandResult) -> Response:
    number = done.events[-1].data["paper"]
    return view.done(done, "paper", lambda: shown(view, number), location=reverse("api:paper", args=[number]))
