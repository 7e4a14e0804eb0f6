"""Commissions: the list, and changing one."""

from itertools import groupby
from typing import Any

from django import forms
from django.db.models import Case, F, Value, When
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from jobs.core.parsing import to_money
from jobs.domain import lookups
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.overviews.bench import LIVE
from jobs.domain.overviews.commission import commission_rows
from jobs.domain.settings import settings
from jobs.log.commands import head_seq
from jobs.log.private_texts import read
from jobs.models import Commission
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import (
    PageForm,
    WholeField,
    date_field,
    number_field,
    text_field,
)
from jobs.web.kit.pagination import page_of
from jobs.web.kit.stored_translations import Text

GROUPS: dict[str, Text] = {
    Commission.Step.ENQUIRY: gettext_lazy("Asked"),
    Commission.Step.QUOTED: gettext_lazy("Quoted"),
    Commission.Step.ACCEPTED: gettext_lazy("To do"),
    Commission.Step.IN_SHOP: gettext_lazy("In the shop"),
    Commission.Step.READY: gettext_lazy("Ready"),
    Commission.Step.DELIVERED: gettext_lazy("Delivered"),
}
"""The groups of the list, in their order: the steps of live commissions."""
RANK = Case(*(When(step=step, then=Value(place)) for place, step in enumerate(GROUPS)))


class CommissionForm(PageForm):
    title = text_field(gettext_lazy("Title"))
    promise_on = date_field(
        gettext_lazy("Promised for"), help_text=gettext_lazy("Leave empty while nothing is promised.")
    )
    asks_for = text_field(gettext_lazy("What they ask for"), lines=3)
    budget = number_field(gettext_lazy("Budget"), autocomplete="off")
    wanted_on = date_field(gettext_lazy("They want it by"))
    heard = text_field(gettext_lazy("Heard of us"))
    tell_days = WholeField(
        label=gettext_lazy("Remind me to tell the client something after"),
        required=False,
        help_text=gettext_lazy("Days; 0: never; empty: as usual in the shop"),
        widget=forms.TextInput({"inputmode": "numeric"}),
    )
    notes = text_field(gettext_lazy("Notes"), lines=4)


@worker
@require_safe
def commissions(request: SignedIn) -> HttpResponse:
    """List live commissions by step, the next promised first; or the ended ones, the newest first."""
    over = request.GET.get("show") == "over"
    found = Commission.objects.select_related("client").filter(step__in=Commission.ENDED if over else LIVE)
    by_promise = (RANK, F("promise_on").asc(nulls_last=True), "number")
    page = page_of(request, found.order_by(*(("-number",) if over else by_promise)))
    rows = commission_rows(list(page.object_list), now=timezone.now(), with_office=request.user.is_owner)
    by_step = groupby(rows, key=lambda row: "" if over else row["step"])
    groups = [(GROUPS.get(step, ""), list(of_step)) for step, of_step in by_step]
    ended = Commission.objects.filter(step__in=Commission.ENDED).count()
    context = {"groups": groups, "page": page, "over": over, "ended": ended, "seq": head_seq()}
    return render(request, "web/commissions/commissions.html", context)


@worker
@require_http_methods(["GET", "POST"])
def change(request: SignedIn, number: str) -> HttpResponse:
    found = lookups.commission(number)
    view = commission_rows([found], now=timezone.now())[0]
    before = {"title": view["title"]}
    before |= {name: read(getattr(found, f"{name}_ref")) for name in ("notes", "asks_for", "heard")}
    before |= {name: getattr(found, name) for name in ("promise_on", "wanted_on", "tell_days", "budget")}
    form = CommissionForm(request.POST or None, initial=before, seen=found.version)
    form.show_unit("budget", found.budget_currency or settings()["currency"])
    if not request.user.is_owner:
        del form.fields["budget"]
    return command_page(
        request, form,
        lambda call, **asked: change_commission(call, commission=number, **_different(asked, before)),
        (_("Saved."), "web:commission", number),
        "web/commissions/commission_change.html", lambda: {"commission": view},
    )  # fmt: skip


def _different(asked: dict[str, Any], before: dict[str, Any]) -> dict[str, Any]:
    """Return the changed fields, or all where none changed: the log then records who reviewed them."""
    if "budget" in asked:
        asked["budget"] = to_money(asked["budget"], "budget") if asked["budget"] else None
    return {k: v for k, v in asked.items() if v != before[k]} or asked
