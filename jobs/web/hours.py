"""Hours: where the minutes went."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.queries.hours import hours as hours_view
from jobs.web.access import worker
from jobs.web.forms import PageForm, date_field


class HoursForm(PageForm):
    since = date_field("From")
    until = date_field("To, included")


@worker
@require_GET
def hours(request: HttpRequest) -> HttpResponse:
    """Minutes at work in a period, for everybody: there is no money in it."""
    form = HoursForm(request.GET)
    view = form.carry_out(lambda asked: hours_view(**asked, with_money=request.user.is_owner))
    return render(request, "web/hours.html", {"form": form, "hours": view}, status=form.status)
