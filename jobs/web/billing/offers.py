"""A quote or change order: what it says, how it stands, and the client's answer. For the owner."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.documents.prints import confirmation_pdf
from jobs.documents.render import offer_draft
from jobs.domain import lookups
from jobs.domain.overviews.piece import pieces_with_blockers
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.accepted import keep_signed_copy
from jobs.domain.quoting.draft_content import drop_draft
from jobs.domain.quoting.next_step import quote_state
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import issue_offer
from jobs.log.commands import CommandContext, CommandResult
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Offer
from jobs.web.billing.offer_forms import AcceptForm, DeclineForm, SignedCopyForm
from jobs.web.kit.access import owner, shows_pdf
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out
from jobs.web.kit.forms import PageForm
from jobs.web.kit.responses import pdf_answer
from jobs.web.kit.undo import undo_offer


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
        lambda: _beside_others(request, found, plain_form=form),
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
        lambda: _beside_others(request, found, plain_form=form),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def accept(request: SignedIn, offer: str, version: int) -> HttpResponse:
    """Record that the client told the shop yes to the version shown."""
    found = lookups.offer(offer, version)
    form = _accept_form(found, request.POST or None, request.FILES)

    def act(call: CommandContext, *, picture: Any, **asked: Any) -> CommandResult:
        return accept_offer(call, offer=offer, version=version, picture=_bytes_of(picture), **asked)

    return carried_out(
        request, form, act,
        (_("%(offer)s is accepted.") % {"offer": offer}, "web:commission", found.commission.number),
        lambda: _beside_others(request, lookups.offer(offer), accept_form=form),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def signed_copy(request: SignedIn, offer: str, version: int) -> HttpResponse:
    """Keep a picture of the signed copy with an accepted version."""
    found = lookups.offer(offer, version)
    form = SignedCopyForm(request.POST or None, request.FILES, seen=found.commission.version)
    return carried_out(
        request, form,
        lambda call, *, picture: keep_signed_copy(
            call, offer=offer, version=version, picture=_bytes_of(picture)
        ),
        (_("The signed copy is kept."), "web:offer", offer),
        lambda: _beside_others(request, lookups.offer(offer), copy_form=form),
    )  # fmt: skip


def _bytes_of(sent: Any) -> bytes | None:
    return sent.read() if sent else None


@owner
@require_safe
@shows_pdf
def confirmation(request: SignedIn, offer: str) -> HttpResponse:
    """Return what was accepted as a PDF."""
    made = confirmation_pdf(offer, today=timezone.localdate())
    return pdf_answer(made, f"confirmation-{offer}")


@owner
@require_http_methods(["GET", "POST"])
def decline(request: SignedIn, offer: str, version: int) -> HttpResponse:
    """Record that the client told the shop no to the version shown."""
    found = lookups.offer(offer, version)
    form, says = DeclineForm(request.POST or None, seen=found.commission.version), _("It is declined.")

    def act(call: CommandContext, **asked: str) -> CommandResult:
        done = decline_offer(call, offer=offer, version=version, **asked)
        if found.kind == Offer.Kind.QUOTE:
            back = reverse("web:take-up", args=[found.commission.number])
            undo_offer(request, says, back, {}, done=done)
        return done

    return carried_out(
        request, form, act, (says, "web:offer", offer),
        lambda: _beside_others(request, lookups.offer(offer), decline_form=form),
    )  # fmt: skip


@owner
@require_safe
@shows_pdf
def draft(request: SignedIn, offer: str) -> HttpResponse:
    """Return the newest version as a PDF marked as a draft."""
    return pdf_answer(offer_draft(lookups.offer(offer)), f"draft-{offer}")


def _beside_others(request: SignedIn, found: Offer, **refused: PageForm) -> HttpResponse:
    """Show a refused form on the page of its offer; send a GET there."""
    return (
        _page(request, found, **refused) if request.method == "POST" else redirect("web:offer", found.number)
    )


def _accept_form(found: Offer, data: Any, sent: Any = None) -> AcceptForm:
    form = AcceptForm(data, sent, seen=found.commission.version)
    choices = [(a.position, a.to) for a in found.alternatives.order_by("position")]
    if choices:
        form.offer("chosen", choices)
    else:
        del form.fields["chosen"]
    return form


def _page(request: SignedIn, found: Offer, **given: Any) -> HttpResponse:
    """Show an offer with its versions and forms; a refused form keeps what was typed."""
    today = timezone.localdate()
    rows = Offer.objects.filter(number=found.number).select_related("commission__client", "paper")
    versions = list(rows.prefetch_related("paper__sendings").order_by("-version"))
    views = [offer_view(one, today=today) for one in versions]
    issued = next((v for v in views if v["standing"] == "issued"), None)
    commission, seen = found.commission, found.commission.version
    texts = Texts(refs_of([commission, commission.client]))
    shown = next((one for one in versions if issued and one.version == issued["version"]), None)
    if shown is not None:
        given.setdefault("accept_form", _labelled(_accept_form(shown, None), issued))
        given.setdefault("decline_form", DeclineForm(seen=seen))
    if views[0]["acceptance"]:
        given.setdefault("copy_form", SignedCopyForm(seen=seen))
    given.setdefault("plain_form", PageForm(seen=seen))
    refused = next((f for f in given.values() if f.status != 200), None)
    may_write = found.step != Offer.Step.ACCEPTED
    context = {
        **given, "offer": views[0], "earlier": views[1:], "issued": issued,
        "state": quote_state(versions[0], today), "client": texts[commission.client.name_ref],
        "address": texts[commission.client.email_ref], "about": texts[commission.title_ref],
        "sendings": [one for view in views for one in reversed(view["sendings"])],
        "pieces": pieces_with_blockers(commission) if may_write else [],
        "is_quote": found.kind == Offer.Kind.QUOTE, "is_declined": commission.step == "declined",
        "form": refused, "may_write": may_write,
        "is_open": views[0]["standing"] in (Offer.Step.DRAFT, Offer.Step.ISSUED),
    }  # fmt: skip
    return render(request, "web/billing/offer.html", context, status=refused.status if refused else 200)


def _labelled(form: AcceptForm, issued: Any) -> AcceptForm:
    if "chosen" in form.fields:
        form.offer("chosen", [(a["position"], a["description"]) for a in issued["alternatives"]])
    return form
