"""Money that clients owe, money given back, receipts and statements."""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.billing.serializers import ReceiptIn, ReceivablesOut, RepaymentIn, StatementIn, VoidIn
from jobs.api.commissions.money_serializers import CorrectionIn
from jobs.api.commissions.views import COMMISSION
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner
from jobs.api.kit.routes import COMMISSION as PLACE
from jobs.api.kit.routes import route, view_route
from jobs.api.kit.view_bases import View
from jobs.api.papers.views import PAPER
from jobs.domain.billing.payments import Share, record_repayment
from jobs.domain.billing.queries import receivables
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.billing.voiding import correct_payment, void_payment
from jobs.log.commands import CommandContext, CommandResult


class ReceivablesView(View):
    """Open invoices."""

    permission_classes = (Owner,)

    @extend_schema(responses=ReceivablesOut)
    def get(self, request: Request) -> Response:
        """Open invoices and each client's sums by days after the due date."""
        return Response(present(receivables(today=timezone.localdate())))


REPAY = COMMISSION.makes(
    record_repayment, RepaymentIn, "Record money given back: at most what was received and no invoice needs."
)
VOID = COMMISSION.changes(
    void_payment, VoidIn, "Void a payment or repayment while nothing rests on it; it stays on record."
)


def _correct(
    call: CommandContext, *, allocated: Sequence[dict[str, Any]] = (), **asked: Any
) -> CommandResult:
    return correct_payment(call, allocated=[Share(**share) for share in allocated], **asked)


CORRECT = COMMISSION.changes(
    _correct, CorrectionIn, "Void a mistyped payment and record the right one at once."
)
RECEIPT = PAPER.makes(issue_receipt, ReceiptIn, "Issue the receipt of a payment; one for each.")
STATEMENT = PAPER.makes(
    issue_statement, StatementIn,
    "Issue a statement of everything billed and received, as it stands today.",
)  # fmt: skip
ROUTES = [
    view_route("receivables/", "receivables", ReceivablesView),
    route(f"{PLACE}repayments/", "repayments", Owner, post=REPAY),
    route("payments/<key:payment>/void/", "void-payment", Owner, post=VOID),
    route("payments/<key:payment>/correct/", "correct-payment", Owner, post=CORRECT),
    route("payments/<key:payment>/receipt/", "receipt", Owner, post=RECEIPT),
    route("clients/<key:client>/statement/", "statement", Owner, post=STATEMENT),
]
