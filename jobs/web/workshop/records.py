"""The log as a page, and reminders that did not arrive. For the owner."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from jobs.core.errors import LogBroken, ShopError
from jobs.domain.reminders.delivery import resend
from jobs.domain.reminders.queries import undelivered
from jobs.log.integrity import verify_all
from jobs.models import Event, LogHead
from jobs.web.commissions.history import event_rows, names_of_people
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.forms import sentence

EVENTS_PER_PAGE = 50


@owner
@require_safe
def log(request: SignedIn) -> HttpResponse:
    """Show the newest events, and older ones page by page."""
    found = Event.objects.order_by("-seq")
    before = request.GET.get("before", "")
    if before.isascii() and before.isdigit() and len(before) < 19:
        found = found.filter(seq__lt=int(before))
    events = event_rows(
        found[:EVENTS_PER_PAGE], units=units_of(request.user), with_money=True, names=names_of_people()
    )
    older = events[-1]["seq"] if events and events[-1]["seq"] > 1 else None
    head = LogHead.objects.filter(id=1).first()
    return render(request, "web/workshop/log.html", {"events": events, "older": older, "head": head})


@owner
@require_safe
def lost_mail(request: SignedIn) -> HttpResponse:
    """Show reminders that did not arrive by mail or push."""
    return render(request, "web/workshop/lost_mail.html", {"rows": undelivered()})


@owner
@require_POST
def resend_lost(request: SignedIn, delivery: int) -> HttpResponse:
    """Queue a lost reminder again for the next sweep."""
    try:
        resend(delivery, now=timezone.now())
    except ShopError as refused:
        messages.error(request, sentence(refused))
    else:
        messages.success(request, _("It will be sent again in a moment."))
    return redirect("web:lost-mail")


@owner
@require_POST
def verify(request: SignedIn) -> HttpResponse:
    """Verify the whole chain and show the result."""
    context: dict[str, Any] = {"at": timezone.now()}
    try:
        context["verified"] = verify_all()
    except LogBroken as broken:
        context["broken"] = broken.detail
    template = "web/workshop/parts/verified.html" if request.htmx else "web/workshop/log_verified.html"
    return render(request, template, context)
