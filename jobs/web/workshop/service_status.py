"""The service status: worker, sweep, broker and database."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from jobs.domain.overviews import service_status as queries
from jobs.log import clock_mark
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn


@owner
@require_safe
def engine_room(request: SignedIn) -> HttpResponse:
    return render(request, "web/workshop/engine_room.html", queries.engine_room(timezone.now()))


@owner
@require_POST
def clock_right(request: SignedIn) -> HttpResponse:
    """Accept the clock as right after it jumped back."""
    clock_mark.accept(timezone.now())
    messages.success(request, _("The clock counts as right from now on."))
    return redirect("web:engine-room")
