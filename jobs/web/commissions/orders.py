"""An order without a quote, an acceptance taken back, and a commission that ends early. For the owner."""

from functools import partial
from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from jobs.core.parsing import to_decimal, to_money
from jobs.domain import lookups
from jobs.domain.billing.orders import accept_order, take_back_acceptance, what_rests_on_acceptance
from jobs.domain.billing.prices import is_with_tax, price_of
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.overviews.commission import commission_rows
from jobs.domain.overviews.piece import pieces_with_blockers
from jobs.domain.papers.letterhead import currency_for_price
from jobs.domain.settings import settings
from jobs.models import Commission
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.formatting import full_day_words, money_words
from jobs.web.kit.forms import PageForm, date_field, number_field, reason_field, text_field
from jobs.web.kit.stored_translations import told_tax

SHARE, SUM = "share", "sum"
ENDS = (Commission.Step.DECLINED, Commission.Step.CANCELLED)
"""The steps that a page asks for; the others follow from the quote and from stages."""


class AcceptOrderForm(PageForm):
    """The terms of an order without a quote; asks a price where the commission has none."""

    price = number_field(gettext_lazy("Price"), autocomplete="off")
    promise_on = date_field(gettext_lazy("Promised for"))
    deposit = number_field(
        gettext_lazy("Deposit"),
        help_text=gettext_lazy("Invoiced at once. Empty for none."),
        autocomplete="off",
    )
    deposit_in = forms.ChoiceField(
        label=gettext_lazy("Deposit in"), required=False, initial=SHARE, widget=forms.RadioSelect
    )
    reason = text_field(gettext_lazy("Remark"))

    def field_of(self, name: str) -> str:
        """Return the form's field; a share and a sum are typed into one."""
        return "deposit" if name == "deposit_pct" else name


class TakeBackForm(PageForm):
    reason = reason_field(help_text=gettext_lazy("May stay empty."))


class EndForm(PageForm):
    reason = reason_field()


@owner
@require_http_methods(["GET", "POST"])
def accept(request: SignedIn, number: str) -> HttpResponse:
    """Accept an order without a quote."""
    found = lookups.commission(number)
    lines = lookups.price_lines(found)
    usual = settings()["deposit_pct"]
    initial = {"promise_on": found.promise_on, "deposit": "" if usual == "0" else usual}
    form = AcceptOrderForm(request.POST or None, seen=found.version, initial=initial)
    currency = currency_for_price(found)
    form.offer("deposit_in", [(SHARE, "%"), (SUM, currency)])
    if found.wanted_on:
        wanted = full_day_words(found.wanted_on, timezone.localdate())
        form.fields["promise_on"].help_text = _("They want it by %(day)s.") % {"day": wanted}
    if found.budget is not None:
        budget = money_words(found.budget, found.budget_currency)
        form.fields["price"].help_text = _("Their budget: %(budget)s.") % {"budget": budget}
    if lines:
        del form.fields["price"]
    else:
        form.show_unit("price", currency)
        inside = is_with_tax(found)
        label = _("Price, with %(tax)s") if inside else _("Price, before %(tax)s")
        form.fields["price"].label = label % {"tax": told_tax()}
    return command_page(
        request, form, lambda call, **asked: accept_order(call, commission=number, **_agreed(asked)),
        (_("%(number)s is accepted.") % {"number": number}, "web:commission", number),
        "web/commissions/order_accept.html",
        lambda: {
            "commission": commission_rows([found], now=timezone.now())[0],
            "pieces": pieces_with_blockers(found),
            "total": price_of(lines).sums.gross if lines else None, "currency": found.price_currency,
        },
    )  # fmt: skip


def _agreed(asked: dict[str, Any]) -> dict[str, Any]:
    """Return what was typed as the command takes it, without the empty fields."""
    given = {name: value for name, value in asked.items() if value not in ("", None)}
    if "price" in given:
        given["price"] = to_money(given["price"], "price")
    if given.pop("deposit_in", SHARE) == SUM and "deposit" in given:
        given["deposit"] = to_money(given["deposit"], "deposit")
    elif "deposit" in given:
        given["deposit_pct"] = to_decimal(given.pop("deposit"), "deposit_pct")
    return given


@owner
@require_http_methods(["GET", "POST"])
def take_back(request: SignedIn, number: str) -> HttpResponse:
    """Take an acceptance back, or show what depends on it."""
    found = lookups.commission(number)
    form = TakeBackForm(request.POST or None, seen=found.version)

    def context() -> dict[str, Any]:
        if form.is_bound:
            found.refresh_from_db()
        row = commission_rows([found], now=timezone.now())[0]
        return {"commission": row, "reasons": what_rests_on_acceptance(found)}

    return command_page(
        request, form, partial(take_back_acceptance, commission=number),
        (_("The acceptance is taken back."), "web:commission", number),
        "web/commissions/order_take_back.html", context,
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def end(request: SignedIn, number: str, to: str) -> HttpResponse:
    """Close a commission as declined, or cancel it. The other steps follow from quote and stages."""
    if to == Commission.Step.ACCEPTED:
        return redirect("web:accept-order", number)
    if to not in ENDS:
        raise Http404
    found = lookups.commission(number)
    form = EndForm(request.POST or None, seen=found.version)
    if to == Commission.Step.DECLINED:
        form.fields["reason"].label = _("Why, if they said")
    done = {Commission.Step.DECLINED: _("Closed as declined."), Commission.Step.CANCELLED: _("Canceled.")}
    return command_page(
        request, form, partial(move_commission, commission=number, to=to),
        (done[Commission.Step(to)], "web:commission", number),
        "web/commissions/commission_move.html",
        lambda: {
            "commission": commission_rows([found], now=timezone.now())[0],
            "declined": to == Commission.Step.DECLINED,
        },
    )  # fmt: skip
