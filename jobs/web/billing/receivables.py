"""Receivables, repayments, receipts and statements, and the bookkeeper's year. For the owner."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.errors import ShopError
from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.billing.balances import account
from jobs.domain.billing.payments import record_repayment, refuse_to_void, void_payment
from jobs.domain.billing.queries import COLUMNS, year_csv
from jobs.domain.billing.queries import receivables as receivables_view
from jobs.domain.billing.statements import issue_receipt, issue_statement, statement_content
from jobs.log.private_texts import read
from jobs.models import Payment
from jobs.web.kit.access import owner
from jobs.web.kit.forms import PageForm, date_field, number_field, reason_field, sentence
from jobs.web.kit.responses import redirect_with_message

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
        gettext_lazy("Why it is given back"), help_text=gettext_lazy("Stands in the account.")
    )


class VoidForm(PageForm):
    reason = reason_field(help_text=gettext_lazy("May stay empty."))


@owner
@require_safe
def receivables(request: HttpRequest) -> HttpResponse:
    """Show open invoices by age."""
    today = timezone.localdate()
    context = {
        **receivables_view(today=today),
        "columns": AGES,
        "labels": LABELS,
        "years": [today.year, today.year - 1],
    }
    return render(request, "web/billing/receivables.html", context)


@owner
@require_safe
def year(request: HttpRequest, year: int) -> HttpResponse:
    """Return a year's invoices, credits and payments as CSV for the bookkeeper."""
    answer = HttpResponse(year_csv(year), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{year}.csv"'
    answer["Cache-Control"] = "no-store"
    return answer


@owner
@require_http_methods(["GET", "POST"])
def repay(request: HttpRequest, number: str) -> HttpResponse:
    """Record a repayment to the client."""
    found = lookups.commission(number)
    form = RepaymentForm(
        request.POST or None, seen=found.version, initial={"received_on": timezone.localdate()}
    )
    if request.method == "POST":
        done = form.carry_out(
            lambda asked: record_repayment(
                form.call(request),
                commission=number,
                **{**asked, "amount": to_money(asked["amount"], "amount")},
            )
        )
        if done:
            return redirect_with_message(
                request, done, _("What was given back is recorded."), "web:commission", number
            )
    free = account(found).allocation.left
    context = {"form": form, "number": number, "free": free, "currency": found.price_currency}
    return render(request, "web/billing/repay.html", context, status=form.status)


@owner
@require_http_methods(["GET", "POST"])
def void(request: HttpRequest, payment: int) -> HttpResponse:
    """Void a mistyped payment; the page shows the payment and what depends on it."""
    found = lookups.payment(payment)
    number = found.commission.number
    form = VoidForm(request.POST or None, seen=found.commission.version)
    if request.method == "POST":
        done = form.carry_out(lambda asked: void_payment(form.call(request), payment=payment, **asked))
        if done:
            return redirect_with_message(request, done, _("The payment is void."), "web:commission", number)
    context = {
        "form": form, "number": number, "payment": found, "amount": abs(found.amount),
        "note": read(found.note_ref), "refusal": _refusal(found),
        "receipts": list(found.receipts.filter(withdrawn_at=None).values_list("number", flat=True)),
    }  # fmt: skip
    return render(request, "web/billing/payment_void.html", context, status=form.status)


def _refusal(payment: Payment) -> str:
    """Return why the payment cannot be voided, or an empty string."""
    try:
        refuse_to_void(payment)
    except ShopError as refused:
        return sentence(refused)
    return ""


@owner
@require_http_methods(["GET", "POST"])
def receipt(request: HttpRequest, payment: int) -> HttpResponse:
    """Show or issue the receipt of a payment."""
    found = lookups.payment(payment)
    number = found.commission.number
    form = PageForm(request.POST or None, seen=found.commission.version)
    if request.method == "POST":
        done = form.carry_out(lambda _: issue_receipt(form.call(request), payment=payment))
        if done:
            paper = done.events[0].data["paper"]
            return redirect_with_message(
                request, done, _("Receipt %(paper)s is issued.") % {"paper": paper}, "web:commission", number
            )
    issued = found.receipts.first()
    context = {"form": form, "number": number, "payment": found, "issued": issued}
    return render(request, "web/billing/receipt.html", context, status=form.status)


@owner
@require_http_methods(["GET", "POST"])
def statement(request: HttpRequest, key: int) -> HttpResponse:
    """Show a client's account and issue statements of it."""
    found = lookups.client(key)
    form = PageForm(request.POST or None, seen=found.version)
    if request.method == "POST":
        done = form.carry_out(lambda _: issue_statement(form.call(request), client=key))
        if done:
            paper = done.events[0].data["paper"]
            return redirect_with_message(
                request, done, _("Statement %(paper)s is issued.") % {"paper": paper}, "web:statement", key
            )
    view: dict[str, Any] = statement_content(found, today=timezone.localdate())
    shown = slice(0 if "all" in request.GET else -MOVES_SHOWN, None)
    accounts = [
        {**of, "moves": of["moves"][shown], "left_out": len(of["moves"]) - len(of["moves"][shown])}
        for of in view["accounts"]
    ]
    context = {
        "form": form, "key": key, "name": view["client"]["name"], "accounts": accounts,
        "papers": list(found.statements.order_by("-id")),
    }  # fmt: skip
    return render(request, "web/billing/statement.html", context, status=form.status)
