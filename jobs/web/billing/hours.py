"""Hours: minutes worked, the shop's labour rates, quoted against actual."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from jobs.domain import lookups
from jobs.domain.commissions.hours import hours as hours_view
from jobs.domain.commissions.labour_rates import LEAST_JOBS
from jobs.domain.quoting.quoted_hours import own_rates, quoted_against_actual
from jobs.log.private_texts import read
from jobs.web.kit.access import owner, worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.forms import PageForm, date_field
from jobs.web.kit.pagination import page_of


class HoursForm(PageForm):
    since = date_field(_("From"))
    until = date_field(_("To, included"))


@worker
@require_safe
def hours(request: SignedIn) -> HttpResponse:
    """Show the minutes worked in a period to everybody; only the owner sees money."""
    form = HoursForm(request.GET)
    view = form.carry_out(lambda asked: hours_view(**asked, with_money=request.user.is_owner))
    page = page_of(request, view["commissions"] if view else [])
    context = {"form": form, "hours": view, "page": page}
    return render(request, "web/billing/hours.html", context, status=form.status)


@owner
@require_safe
def rates(request: SignedIn) -> HttpResponse:
    """Show the shop's labour rates by what drives them."""
    return render(request, "web/billing/own_rates.html", {"rates": own_rates(), "least": LEAST_JOBS})


@owner
@require_safe
def commission(request: SignedIn, number: str) -> HttpResponse:
    """Show the quoted and the actual hours of a commission."""
    found = lookups.commission(number)
    view = quoted_against_actual(found)
    told = [row for row in view["stages"] if row["quoted"] is not None or row["spent"] or row["redone"]]
    view |= {"told": told, "untold": len(view["stages"]) - len(told)}
    context = {"hours": view, "title": read(found.title_ref)}
    return render(request, "web/billing/commission_hours.html", context)
