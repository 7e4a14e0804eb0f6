"""Receivables, repayments, receipts and statements. For the owner."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.billing.balances import account
from jobs.domain.billing.payments import record_repayment
from jobs.domain.billing.queries import COLUMNS
from jobs.domain.billing.queries import receivables as receivables_view
from jobs.domain.billing.sending import HAND, MAIL
from jobs.domain.billing.statements import account_content, issue_receipt, issue_statement
from jobs.models import Event
from jobs.web.billing.about import about
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, date_field, number_field, reason_field

AGES = (
    gettext_lazy("Not due"),
    gettext_lazy("1 to 30 days"),
    gettext_lazy("31 to 60 days"),
    gettext_lazy("61 to 90 days"),
    gettext_lazy("Over 90 days"),
)
"""The columns of the open invoices, in the order of the sums."""
LABELS = dict(zip(COLUMNS, AGES, strict=True))

MOVES_SHOWN = 60
"""Newest entries of an account that are shown until all are asked for."""


class RepaymentForm(PageForm):
    amount = number_field(gettext_lazy("Amount"), autocomplete="off")
    received_on = date_field(gettext_lazy("Given back on"))
    reason = reason_field(
        gettext_lazy("Why it is given back"), help_text=gettext_lazy("Shown on the account.")
    )


@owner
@require_safe
def receivables(request: SignedIn) -> HttpResponse:
    """Show open invoices by age."""
    today = timezone.localdate()
    context = {
        **receivables_view(today=today),
        "columns": AGES,
        "labels": LABELS,
    }
    return render(request, "web/billing/receivables.html", context)


@owner
@require_http_methods(["GET", "POST"])
def repay(request: SignedIn, number: str) -> HttpResponse:
    """Record a repayment to the client."""
    found = lookups.commission(number)
    given = {"received_on": timezone.localdate()}
    return command_page(
        request, RepaymentForm(request.POST or None, seen=found.version, initial=given),
        lambda call, *, amount, **asked: record_repayment(
            call, commission=number, amount=to_money(amount, "amount"), **asked
        ),
        (_("What was given back is recorded."), "web:commission", number),
        "web/billing/repay.html",
        lambda: {
            **about(found), "free": account(found).free,
        },
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def receipt(request: SignedIn, payment: int) -> HttpResponse:
    """Show or issue the receipt of a payment."""
    found = lookups.payment(payment)
    commission = lookups.commission(found.commission.number)
    of, by_hand = about(commission), request.POST.get("do") == HAND
    how = HAND if by_hand else MAIL if of["address"] else ""

    def done(first: Event) -> tuple[Any, ...]:
        says = _("Receipt %(paper)s is issued.") % first.data
        return (says, "web:pdf", first.data["paper"]) if by_hand else (says, "web:commission", of["number"])

    return command_page(
        request, PageForm(request.POST or None, seen=commission.version),
        partial(issue_receipt, payment=payment, send=how), done, "web/billing/receipt.html",
        lambda: {**of, "payment": found, "issued": found.receipts.first()},
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def statement(request: SignedIn, key: int) -> HttpResponse:
    """Show a client's account and issue statements of it."""
    found = lookups.client(key)

    def context() -> dict[str, Any]:
        view: dict[str, Any] = account_content(found, today=timezone.localdate())
        shown = slice(0 if "all" in request.GET else -MOVES_SHOWN, None)
        accounts = [
            {**of, "moves": of["moves"][shown], "left_out": len(of["moves"]) - len(of["moves"][shown])}
            for of in view["accounts"]
        ]
        papers = list(found.statements.order_by("-id"))
        return {"key": key, "name": view["client"]["name"], "accounts": accounts, "papers": papers}

    return command_page(
        request, PageForm(request.POST or None, seen=found.version), partial(issue_statement, client=key),
        lambda first: (_("Statement %(paper)s is issued.") % first.data, "web:statement", key),
        "web/billing/statement.html", context,
    )  # fmt: skip
