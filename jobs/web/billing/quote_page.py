"""The page that writes a quote or a change order, and sends it: proposed from the calculations."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from calcs.kit.errors import CalcError
from jobs.core.errors import ShopError
from jobs.core.units import Units
from jobs.domain import lookups
from jobs.domain.billing.prices import UsualTax, usual_tax
from jobs.domain.commissions.labour_rates import offered, rates
from jobs.domain.papers.letterhead import currency_for_price
from jobs.domain.pieces.wood import thumb_of
from jobs.domain.quoting.draft_content import Alternative, content_of
from jobs.domain.quoting.draft_prices import proposed_lines
from jobs.domain.quoting.proposals import Asked
from jobs.domain.quoting.quote_hours import asked_hours, refuse_unpriced_hours
from jobs.domain.quoting.quotes import (
    TEXTS,
    draft_change_order,
    draft_quote,
    quoted_lists,
    rewrite_offer,
    usual_tax_of,
)
from jobs.domain.quoting.sending import send_offer
from jobs.domain.settings import profile, settings
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, Offer
from jobs.web.billing.offer_forms import OfferForm, initial_of, said_of
from jobs.web.billing.quote_edit import REMOVE, add_choice, count_of, follow, remove_choice
from jobs.web.billing.quote_figures import figures, lines_of, places_of, typed
from jobs.web.billing.quote_form import Pieces, QuoteForm, hours_before
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import sentence
from jobs.web.kit.responses import redirect_with_message

SPARE_LINES = 1
SEND, HAND, KEEP = "send", "hand", "keep"
Write = Callable[..., CommandResult]


@dataclass(frozen=True, kw_only=True)
class Start:
    """What the page begins with, and the command that writes it."""

    commission: Commission
    is_quote: bool
    lines: list[dict[str, Any]]
    usual: dict[str, Any]
    title: str
    write: Write
    tax: UsualTax
    others: list[Alternative] = field(default_factory=list)
    basis: Mapping[str, Any] = field(default_factory=dict)
    hours: Mapping[str, Any] = field(default_factory=dict)
    offer: str = ""


@owner
@require_http_methods(["GET", "POST"])
def new_quote(request: SignedIn, number: str) -> HttpResponse:
    """Write the first version of a quote; nothing is kept before it is sent or kept as a draft."""
    found = lookups.commission(number)
    before = found.offers.filter(kind=Offer.Kind.QUOTE).first()
    if before is not None and request.method == "GET":
        query = request.GET.urlencode()
        return redirect(reverse("web:write-offer", args=[before.number]) + (f"?{query}" if query else ""))
    pieces, units, known = _pieces(found), units_of(request.user), rates()
    own = tuple(p for p, (piece, _label) in pieces.items() if offered(piece, known))
    asked = Asked(own=own if settings()["hourly_rate"] is not None else ())
    usual = usual_tax(found, timezone.localdate())
    lines, basis = proposed_lines(found, asked, units, usual)
    shop = settings()
    start = Start(
        commission=found, is_quote=True, basis=basis, tax=usual, title=_("Quote"),
        lines=[vars(line) for line in lines],
        usual={
            "promise_on": _chosen_day(request) or found.promise_on, "valid_days": shop["quote_valid_days"],
            "deposit_pct": number_words(shop["deposit_pct"]), **quoted_lists(shop),
        },
        hours={f"own/{number}": True for number in asked.own},
        write=lambda call, *, asked, **said: draft_quote(
            call, commission=number, units=units, hours=asked.hours, minutes=asked.minutes,
            own_hours=asked.own, **said,
        ),
    )  # fmt: skip
    return _page(request, start, pieces)


def _chosen_day(request: SignedIn) -> date | None:
    """Return the day that was chosen on the page of the plan, which the address holds."""
    try:
        return date.fromisoformat(request.GET.get("promise_on", ""))
    except ValueError:
        return None


@owner
@require_http_methods(["GET", "POST"])
def new_change(request: SignedIn, number: str) -> HttpResponse:
    found = lookups.commission(number)
    start = Start(
        commission=found, is_quote=False, tax=usual_tax(found, timezone.localdate()), lines=[],
        title=_("Change order"),
        usual={"promise_on": found.promise_on, "valid_days": settings()["quote_valid_days"]},
        write=lambda call, **said: draft_change_order(call, commission=number, **said),
    )  # fmt: skip
    return _page(request, start, {})


@owner
@require_http_methods(["GET", "POST"])
def write(request: SignedIn, offer: str) -> HttpResponse:
    """Change the draft, or start the next version."""
    found = lookups.offer(offer)
    content, is_quote = content_of(found), found.kind == Offer.Kind.QUOTE
    usual = {name: getattr(content, name) for name in (*TEXTS, "promise_on", "valid_days")}
    usual["promise_on"] = _chosen_day(request) or usual["promise_on"]
    usual["deposit_pct"] = number_words(content.deposit_pct)
    usual["deposit_sum"] = number_words(content.deposit_sum)
    start = Start(
        commission=found.commission, is_quote=is_quote,
        tax=usual_tax_of(found, timezone.localdate()), lines=[vars(line) for line in content.lines],
        others=list(content.alternatives), usual=usual, basis=found.basis, offer=offer,
        hours=hours_before(found.basis), title=_("Quote") if is_quote else _("Change order"),
        write=lambda call, **said: rewrite_offer(call, offer=offer, **said),
    )  # fmt: skip
    return _page(request, start, _pieces(found.commission) if is_quote else {})


def _pieces(commission: Commission) -> Pieces:
    pieces = list(commission.pieces.order_by("number").prefetch_related("stages"))
    texts = Texts(refs_of(pieces))
    return {p.number: (p, texts[p.label_ref]) for p in pieces}


def _form(data: QueryDict | None, start: Start, pieces: Pieces, *, more: int = 0) -> OfferForm:
    proposed = {told["piece"]: told["price"] for told in start.basis.get("pieces", [])}
    initial = {**start.usual, **initial_of(start.lines, start.others), **start.hours}
    prices = {number_words(price) for price in proposed.values() if price is not None}
    for n in range(len(start.lines)):
        price = f"lines/{n}/unit_price"
        initial[price] = "" if initial[price] == "0" and start.is_quote else initial[price]
        initial[f"lines/{n}/follows"] = initial[price] if initial[price] in {*prices, ""} else "typed"
    counts = {"count": len(start.lines) + (0 if start.lines else SPARE_LINES), "choices": len(start.others)}
    if data is not None:
        counts = {"count": count_of(data, "lines") + more, "choices": count_of(data, "choices")}
    given: dict[str, Any] = {
        **counts, "is_quote": start.is_quote, "seen": start.commission.version, "initial": initial,
        "usual": start.tax,
    }  # fmt: skip
    return QuoteForm(data, pieces=pieces, **given) if start.is_quote else OfferForm(data, **given)


def _page(request: SignedIn, start: Start, pieces: Pieces) -> HttpResponse:
    labels = {number: label for number, (_piece, label) in pieces.items()}
    if request.method == "GET":
        return _shown(request, start, _form(None, start, pieces), start.basis, labels)
    data, do = request.POST.copy(), request.POST.get("do", KEEP)
    if do.startswith(REMOVE) and do.removeprefix(REMOVE).isdigit():
        remove_choice(data, int(do.removeprefix(REMOVE)))
    form = _form(data, start, pieces, more=do == "line")
    basis = _basis(form, start)
    if do == "choice":
        form, data = _with_choice(form, start, pieces, basis), data
    moved = follow(form, basis, labels, str(form.data.get("round_to", ""))) if start.is_quote else set()
    if do == KEEP or (do in (SEND, HAND) and not moved):
        if done := form.carry_out(lambda asked: _carry_out(request, start, form, asked, do)):
            return _done(request, done, do)
    elif do in (SEND, HAND):
        form.is_valid()
        form.add_error(None, _("The price follows the hours now. Look it over and send it again."))
        form.status = 409
    return _shown(request, start, form, basis, labels, moved=moved)


def _basis(form: OfferForm, start: Start) -> Mapping[str, Any]:
    """Return what the prices rest on with the hours that were typed; as before where they cannot be read."""
    if not isinstance(form, QuoteForm):
        return start.basis
    try:
        told = form.hours_asked(typed(form))
        asked = asked_hours(start.commission, told.hours, told.minutes, told.own)
        return proposed_lines(start.commission, asked, Units(), start.tax)[1]
    except (ShopError, CalcError):
        return start.basis


def _with_choice(form: OfferForm, start: Start, pieces: Pieces, basis: Mapping[str, Any]) -> OfferForm:
    """Return the form with the picked choice; a choice that cannot be priced is refused beside its field."""
    assert isinstance(form.data, QueryDict), "a form that was sent"
    data, hours = form.data.copy(), {t["piece"]: Decimal(t["hours"]) for t in basis.get("pieces", [])}
    try:
        add_choice(data, start.commission, hours, start.tax)
    except (ShopError, CalcError) as refused:
        form.is_valid()
        form.add_error("choice", sentence(refused))
        form.status = getattr(refused, "status", 422)
        return form
    return _form(data, start, pieces)


def _carry_out(
    request: SignedIn, start: Start, form: OfferForm, asked: dict[str, Any], do: str
) -> CommandResult:
    """Write the version, and send it where that was pressed: both or neither."""
    if do == KEEP:  # a draft may wait for its price
        open_prices = {f"lines/{n}/unit_price" for n in form.written(asked)}
        asked = {name: value or ("0" if name in open_prices else value) for name, value in asked.items()}
    said = said_of(form, asked)
    if isinstance(form, QuoteForm):
        told = form.hours_asked(asked)
        said["asked"] = asked_hours(start.commission, told.hours, told.minutes, told.own)
        refuse_unpriced_hours(said["asked"])
    with transaction.atomic():
        done = start.write(form.call(request), **said)
        if do != KEEP:
            offer = done.events[0].data["offer"] if not start.offer else start.offer
            send_offer(
                _after(form.call(request, part="send")), offer=offer, to=asked["to"], by_hand=do == HAND
            )
    return done


def _after(call: CommandContext) -> CommandContext:
    """Return the call of a second command; the first one has changed the version that was seen."""
    return CommandContext(by=call.by, at=call.at, now=call.now, key=call.key, fingerprint=call.fingerprint)


def _done(request: SignedIn, done: CommandResult, do: str) -> HttpResponse:
    drafted = next(event for event in done.events if event.kind == "offer_drafted")
    offer = drafted.data["offer"]
    says = {
        SEND: _("The quote is on its way."), HAND: _("The quote is issued; print it and hand it over."),
        KEEP: _("%(offer)s is kept as a draft.") % {"offer": offer},
    }[do]  # fmt: skip
    return redirect_with_message(request, done, says, "web:offer", offer)


def _shown(
    request: SignedIn,
    start: Start,
    form: OfferForm,
    basis: Mapping[str, Any],
    labels: Mapping[str, str],
    *,
    moved: set[int] = frozenset(),  # type: ignore[assignment]
) -> HttpResponse:
    found, shop = start.commission, profile()
    texts = Texts(refs_of([found, found.client, *([shop] if shop else [])]))
    after = () if form.is_quote else lookups.price_lines(found)
    counted = figures(form, basis, labels, after=after)
    first = next(iter(form.pieces.values()))[0] if isinstance(form, QuoteForm) and form.pieces else None
    hours = {number: form.hours_of(number) for number in labels} if isinstance(form, QuoteForm) else {}
    at = {n: number for number, n in places_of(lines_of(form), labels).items()}
    rows = [
        {
            "n": n, "fields": row, "figures": counted["lines"][n], "moved": n in moved,
            "hours": hours.pop(at.get(n, ""), None),
        }
        for n, row in enumerate(form.rows)
    ]  # fmt: skip
    context = {
        "form": form,
        "rows": rows,
        "figures": counted,
        "basis": basis,
        "commission": found,
        "title": start.title,
        "offer": start.offer,
        "currency": currency_for_price(found),
        "client": texts[found.client.name_ref],
        "address": texts[found.client.email_ref],
        "about": texts[found.title_ref],
        "shop": texts[shop.name_ref] if shop else "",
        "hours": list(hours.values()),
        "wood": thumb_of(first) if first else None,
        "piece": first.number if first else "",
        "valid_days": form["valid_days"].value(),
    }
    part = bool(request.htmx) and request.POST.get("do") == "update"
    template = "web/billing/parts/quote_update.html" if part else "web/billing/offer_write.html"
    return render(request, template, context, status=200 if part else form.status)
