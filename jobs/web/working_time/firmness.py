"""How firm the promised day of a commission is, and on which days its client takes nothing. For the owner."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain import lookups
from jobs.domain.working_time.promises import cancel_blackout, set_blackout, set_promise_weight
from jobs.domain.working_time.queries import coming_blackouts
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import read
from jobs.log.projections.working_time import FIRMNESS
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn, posted_call
from jobs.web.kit.command_pages import carried_out
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import redirect_with_message
from jobs.web.working_time.forms import BlackoutForm, FirmnessForm


@owner
@require_http_methods(["GET", "POST"])
def firmness(request: SignedIn, number: str) -> HttpResponse:
    """Show how firm the date is and the client's days; a POST sets how firm it is."""
    form = _firmness_form(number, request.POST or None)

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return set_promise_weight(call, commission=number, **asked)

    done = (_("Saved."), "web:commission", number)
    return carried_out(request, form, command, done, lambda: _page(request, number, form=form))


@owner
@require_POST
def add_days(request: SignedIn, number: str) -> HttpResponse:
    """Set days on which the client takes no delivery and no visit."""
    form = BlackoutForm(request.POST)

    def command(call: CommandContext, **asked: Any) -> CommandResult:
        return set_blackout(call, commission=number, **asked)

    done = (_("The client's days are set."), "web:firmness", number)
    return carried_out(request, form, command, done, lambda: _page(request, number, days_form=form))


@owner
@require_POST
def remove_days(request: SignedIn, number: str, key: int) -> HttpResponse:
    """Take days of a client back."""
    result = cancel_blackout(posted_call(request), commission=number, blackout=key)
    return redirect_with_message(request, result, _("Taken back."), "web:firmness", number)


def _page(request: SignedIn, number: str, **forms: PageForm) -> HttpResponse:
    found = lookups.commission(number)
    context = {
        "commission": {
            "number": found.number,
            "title": read(found.title_ref),
            "promise_on": found.promise_on,
        },
        "days": coming_blackouts(timezone.localdate(), found),
        "form": _firmness_form(number),
        "days_form": BlackoutForm(),
        **forms,
    }
    status = max((form.status for form in forms.values()), default=200)
    return render(request, "web/working_time/firmness.html", context, status=status)


def _firmness_form(number: str, data: Any = None) -> FirmnessForm:
    found = lookups.commission(number)
    return FirmnessForm(data, initial={"firmness": FIRMNESS[found.promise_weight]}, seen=found.version)
