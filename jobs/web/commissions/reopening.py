"""Reopen a closed commission. For the owner."""

from functools import partial

from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from jobs.domain import lookups
from jobs.domain.waits.closing import reopen_commission
from jobs.log.private_texts import read
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, reason_field


class ReopenForm(PageForm):
    reason = reason_field(gettext_lazy("What is still to be done"))


@owner
@require_http_methods(["GET", "POST"])
def reopen(request: SignedIn, number: str) -> HttpResponse:
    """Open a closed commission again; it is delivered then, and its last stage is planned."""
    found = lookups.commission(number)
    return command_page(
        request, ReopenForm(request.POST or None, seen=found.version),
        partial(reopen_commission, commission=number), (_("It is open again."), "web:commission", number),
        "web/commissions/commission_reopen.html",
        lambda: {"number": number, "title": read(found.title_ref)},
    )  # fmt: skip
