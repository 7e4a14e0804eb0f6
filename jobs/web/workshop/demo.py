"""The demo by taps: load it into a shop that is still empty, and leave it again. For the owner."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.core import broker
from jobs.core.errors import WrongState
from jobs.domain.workshop.demo import is_demo
from jobs.models import Event
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn

IN_DEMO = "demo"
"""The mark of a session in the demo, so that a page need not ask the log."""


@owner
@require_POST
def open_demo(request: SignedIn) -> HttpResponse:
    """Load the demo into an empty shop."""
    if Event.objects.exists():
        raise WrongState(_("this shop is at work"), field="demo", value="", allowed=_("an empty shop"))
    broker.wake("jobs.tasks.open_demo")
    return redirect("web:demo-loading")


@owner
@require_safe
def loading(request: SignedIn) -> HttpResponse:
    """Wait until the demo is there; the page asks again by itself."""
    if not is_demo():
        return render(request, "web/workshop/demo_loading.html")
    request.session[IN_DEMO] = True
    return redirect("web:bench")


@owner
@require_http_methods(["GET", "POST"])
def leave(request: SignedIn) -> HttpResponse:
    """Ask once, then empty the demo shop."""
    if not is_demo():
        raise WrongState(_("this is no demo shop"), field="demo", value="", allowed=_("a demo shop"))
    if request.method == "POST":
        broker.wake("jobs.tasks.leave_demo")
        return redirect("web:demo-leaving")
    return render(request, "web/workshop/demo_leave.html")


@owner
@require_safe
def leaving(request: SignedIn) -> HttpResponse:
    """Wait until the shop is empty."""
    if is_demo():
        return render(request, "web/workshop/demo_loading.html", {"leaves": True})
    request.session.pop(IN_DEMO, None)
    return redirect("web:first-run")
