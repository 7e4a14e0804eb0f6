"""Profit of a year by month and by order, beside the year before. For the owner."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.dates import MONTHS
from django.views.decorators.http import require_safe

from jobs.core.errors import Invalid
from jobs.domain.books.periods import read_year
from jobs.domain.books.profit import profit_of_year
from jobs.web.books.profit_chart import profit_chart
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import sentence


@owner
@require_safe
def profit(request: SignedIn) -> HttpResponse:
    """Show income, costs and profit of a year as a chart, by month and by order."""
    today = timezone.localdate()
    year, refused, status = today.year, "", 200
    try:
        year = read_year(request.GET.get("year", str(today.year)))
    except Invalid as wrong:
        refused, status = sentence(wrong), wrong.status
    view = profit_of_year(year)
    for account in view["accounts"]:
        account["chart"] = profit_chart(account["months"], currency=account["currency"], year=year)
        account["months"] = [_named(month) for month in account["months"] if month["orders"]]
    context = {**view, "before": year - 1, "after": year + 1 if year < today.year else None}
    return render(request, "web/books/profit.html", {**context, "refused": refused}, status=status)


def _named(month: dict[str, Any]) -> dict[str, Any]:
    return {**month, "name": MONTHS[month["month"]]}
