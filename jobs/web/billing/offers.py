"""Quotes and change orders: draft, issue, revise, record the client's answer. For the owner."""

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.documents.render import offer_draft
from jobs.domain import lookups
from jobs.domain.overviews.piece import pieces_with_blockers
from jobs.domain.papers.letterhead import currency_for_price
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import Alternative, content_of
from jobs.domain.quoting.drafts import drop_draft
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import TEXTS, draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.domain.settings import settings
from jobs.log.commands import CommandResult
from jobs.log.private_texts import Texts
from jobs.models import Commission, Offer
from jobs.web.billing.offer_forms import AcceptForm, DeclineForm, OfferForm, initial_of, said_of
from jobs.web.billing.prices import SPARE_LINES
from jobs.web.billing.quote_form import QuoteForm
from jobs.web.kit.access import owner, shows_pdf
from jobs.web.kit.calls import SignedIn, units_of
from jobs.web.kit.command_pages import carried_out, command_page
from jobs.web.kit.formatting import number_words
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import redirect_with_message
from jobs.web.kit.stored_translations import translate_stored


@owner
@require_http_methods(["GET", "POST"])
def new_quote(request: SignedIn, number: str) -> HttpResponse:
    found = lookups.commission(number)
    pieces = list(found.pieces.order_by("number").prefetch_related("stages"))
    texts = Texts(p.label_ref for p in pieces)
    named = {p.number: (p, texts[p.label_ref]) for p in pieces}
    form = QuoteForm(request.POST or None, pieces=named, seen=found.version)
    units = units_of(request.user)
    return command_page(
        request, form,
        lambda call, **asked: draft_quote(call, commission=number, units=units, **form.wanted(asked)),
        lambda first: (
            _("%(offer)s is written. Look it over.") % first.data, "web:write-offer", first.data["offer"]
        ),
        "web/billing/quote_new.html", lambda: {"number": number},
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def new_change(request: SignedIn, number: str) -> HttpResponse:
    found = lookups.commission(number)
    usual = {"promise_on": found.promise_on, "valid_days": settings()["quote_valid_days"]}
    return _written(
        request, found, is_quote=False, before=[], others=[], usual=usual, title=_("Change order"),
        write=lambda call, said: draft_change_order(call, commission=number, **said),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def write(request: SignedIn, offer: str) -> HttpResponse:
    """Change the draft, or start the next version."""
    found = lookups.offer(offer)
    content, is_quote = content_of(found), found.kind == Offer.Kind.QUOTE
    usual = {name: getattr(content, name) for name in (*TEXTS, "promise_on", "valid_days")}
    usual["deposit_pct"] = number_words(content.deposit_pct)
    is_draft = found.step == Offer.Step.DRAFT
    return _written(
        request, found.commission, is_quote=is_quote, before=[vars(line) for line in content.lines],
        others=list(content.alternatives), usual=usual,
        title=_("%(kind)s %(offer)s, version %(version)s")
        % {
            "kind": translate_stored(found.get_kind_display()),
            "offer": offer,
            "version": found.version + (not is_draft),
        },
        write=lambda call, said: rewrite_offer(call, offer=offer, **said), named=offer, basis=found.basis,
    )  # fmt: skip


def _written(
    request: SignedIn,
    found: Commission,
    *,
    is_quote: bool,
    before: list[dict[str, Any]],
    others: list[Alternative],
    usual: dict[str, Any],
    title: str,
    write: Callable[..., CommandResult],
    named: str = "",
    basis: Mapping[str, Any] = MappingProxyType({}),
) -> HttpResponse:
    tax = {"tax_pct": number_words(settings()["tax_pct"]), "exempt": found.client.exempt_ref is not None}
    posted = request.POST or None
    sent = sum(name.startswith("lines/") and name.endswith("/description") for name in request.POST)
    more = SPARE_LINES if "more" in request.POST else 0
    form = OfferForm(
        posted, count=sent + more if posted else len(before) + SPARE_LINES, is_quote=is_quote,
        alternatives=len(others), seen=found.version, initial={**usual, **initial_of(before, others)}, **tax,
    )  # fmt: skip
    if posted and not more:
        done = form.carry_out(lambda asked: write(form.call(request), said_of(form, asked, others)))
        if done:
            offer = done.events[0].data["offer"]
            return redirect_with_message(
                request, done, _("%(offer)s is written.") % {"offer": offer}, "web:offer", offer
            )
    context = {
        "form": form, "number": found.number, "currency": currency_for_price(found), "title": title,
        "named": named, "basis": basis,
    }  # fmt: skip
    return render(request, "web/billing/offer_write.html", context, status=form.status)


@owner
@require_safe
def offer(request: SignedIn, offer: str) -> HttpResponse:
    return _page(request, lookups.offer(offer))


@owner
@require_http_methods(["GET", "POST"])
def issue(request: SignedIn, offer: str) -> HttpResponse:
    found = lookups.offer(offer)
    form = PageForm(request.POST or None, seen=found.commission.version)
    return carried_out(
        request, form, partial(issue_offer, offer=offer),
        (_("%(offer)s is issued.") % {"offer": offer}, "web:offer", offer),
        lambda: _beside_others(request, found, issue_form=form),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def drop(request: SignedIn, offer: str) -> HttpResponse:
    """Discard a draft."""
    found = lookups.offer(offer)
    form = PageForm(request.POST or None, seen=found.commission.version)
    return carried_out(
        request, form, partial(drop_draft, offer=offer),
        (_("The draft is thrown away."), "web:commission", found.commission.number),
        lambda: _beside_others(request, found, issue_form=form),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def accept(request: SignedIn, offer: str, version: int) -> HttpResponse:
    """Record that the client told the shop yes to the version shown."""
    found = lookups.offer(offer, version)
    form = _accept_form(found, request.POST or None)
    return carried_out(
        request, form, partial(accept_offer, offer=offer, version=version),
        (_("%(offer)s is accepted.") % {"offer": offer}, "web:commission", found.commission.number),
        lambda: _beside_others(request, lookups.offer(offer), accept_form=form),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def decline(request: SignedIn, offer: str, version: int) -> HttpResponse:
    """Record that the client told the shop no to the version shown."""
    found = lookups.offer(offer, version)
    form = DeclineForm(request.POST or None, seen=found.commission.version)
    return carried_out(
        request, form, partial(decline_offer, offer=offer, version=version),
        (_("%(offer)s is declined.") % {"offer": offer}, "web:offer", offer),
        lambda: _beside_others(request, lookups.offer(offer), decline_form=form),
    )  # fmt: skip


@owner
@require_safe
@shows_pdf
def draft(request: SignedIn, offer: str) -> HttpResponse:
    """Return the newest version as a PDF marked as a draft."""
    answer = HttpResponse(offer_draft(lookups.offer(offer)), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="draft-{offer}.pdf"'
    return answer


def _beside_others(request: SignedIn, found: Offer, **refused: PageForm) -> HttpResponse:
    """Show a refused form on the page of its offer; send a GET there."""
    return (
        _page(request, found, **refused) if request.method == "POST" else redirect("web:offer", found.number)
    )


def _accept_form(found: Offer, data: Any) -> AcceptForm:
    form = AcceptForm(data, seen=found.commission.version)
    choices = [(a.position, a.to) for a in found.alternatives.order_by("position")]
    if choices:
        form.offer("chosen", choices)
    else:
        del form.fields["chosen"]
    return form


def _page(request: SignedIn, found: Offer, **given: Any) -> HttpResponse:
    """Show an offer with its versions and forms; a refused form keeps what was typed."""
    today = timezone.localdate()
    versions = list(
        Offer.objects.filter(number=found.number).select_related("commission", "paper").order_by("-version")
    )
    views = [offer_view(one, today=today) for one in versions]
    issued = next((v for v in views if v["standing"] == "issued"), None)
    seen = found.commission.version
    shown = next((one for one in versions if issued and one.version == issued["version"]), None)
    if shown is not None:
        given.setdefault("accept_form", _labelled(_accept_form(shown, None), issued))
        given.setdefault("decline_form", DeclineForm(seen=seen))
    if found.step == Offer.Step.DRAFT:
        given.setdefault("issue_form", PageForm(seen=seen))
    refused = next((f for f in given.values() if f.status != 200), None)
    context = {
        **given, "offer": views[0], "earlier": views[1:], "issued": issued,
        "pieces": pieces_with_blockers(found.commission),
        "label": translate_stored(found.get_kind_display()),
        "form": refused, "may_write": found.step != Offer.Step.ACCEPTED,
        "is_open": views[0]["standing"] in (Offer.Step.DRAFT, Offer.Step.ISSUED),
    }  # fmt: skip
    return render(request, "web/billing/offer.html", context, status=refused.status if refused else 200)


def _labelled(form: AcceptForm, issued: Any) -> AcceptForm:
    if "chosen" in form.fields:
        form.offer("chosen", [(a["position"], a["description"]) for a in issued["alternatives"]])
    return form
