"""Quotes over all commissions: what is out, what was won and lost by year, and why."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.domain.quoting.tally import quotes_by_year, quotes_out
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn


@owner
@require_safe
def quotes(request: SignedIn) -> HttpResponse:
    today = timezone.localdate()
    years = quotes_by_year(today)
    context = {"out": quotes_out(today), "years": years, "lost": any(year["because"] for year in years)}
    return render(request, "web/billing/quotes.html", context)
