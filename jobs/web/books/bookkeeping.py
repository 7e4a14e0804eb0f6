"""The books: a file for the bookkeeper, and the tax of a period. For the owner."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.core.errors import Invalid
from jobs.domain.billing.taxes import TAX_CATEGORIES
from jobs.domain.books.bookkeeping import books_csv
from jobs.domain.books.tax_return import BY_PAYMENT, tax_summary
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import sentence

YEARS = 3
"""Years that the page offers, this one first."""
QUARTERS = (1, 2, 3, 4)


@owner
@require_safe
def books(request: SignedIn) -> HttpResponse:
    """Show the tax of a period, the newest quarter first, and the files of years, quarters and months."""
    today = timezone.localdate()
    usual = f"{today.year}-Q{(today.month + 2) // 3}"
    refused, status = "", 200
    try:
        summary = tax_summary(request.GET.get("period", usual))
    except Invalid as wrong:
        refused, status, summary = sentence(wrong), wrong.status, tax_summary(usual)
    years = [_year(year, summary["period"]) for year in range(today.year, today.year - YEARS, -1)]
    context = {
        "summary": summary, "years": years, "by_payment": summary["basis"] == BY_PAYMENT,
        "categories": TAX_CATEGORIES, "refused": refused,
    }  # fmt: skip
    return render(request, "web/books/books.html", context, status=status)


def _year(year: int, shown: str) -> dict[str, Any]:
    """Return the periods of a year that the page links to."""
    names = [str(year), *(f"{year}-Q{n}" for n in QUARTERS)]
    words = [_("Whole year"), *(_("Quarter %(number)s") % {"number": n} for n in QUARTERS)]
    return {
        "year": year,
        "periods": [
            {"name": name, "says": says, "is_shown": name == shown}
            for name, says in zip(names, words, strict=True)
        ],
        "months": [f"{year}-{month:02}" for month in range(1, 13)],
    }


@owner
@require_safe
def file(request: SignedIn, period: str) -> HttpResponse:
    """Return invoices, credits, payments and purchases of a period as CSV."""
    answer = HttpResponse(books_csv(period), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{period}.csv"'
    answer["Cache-Control"] = "no-store"
    return answer
