"""A quote that goes out: send it, ask again, let it go, take it up again."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain import lookups
from jobs.domain.clients.quote_mail import proposed_words
from jobs.domain.quoting.losses import let_go, take_back_decline
from jobs.domain.quoting.next_step import quote_state
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.sending import follow_up, send_offer
from jobs.domain.settings import profile
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Offer
from jobs.web.billing.offer_forms import DeclineForm, FollowUpForm, SendForm
from jobs.web.kit.access import owner
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import carried_out, command_page
from jobs.web.kit.forms import PageForm

HAND = "hand"


@owner
@require_http_methods(["GET", "POST"])
def send(request: SignedIn, offer: str) -> HttpResponse:
    """Mail a quote, or note that it was handed over; a draft is issued first."""
    found = lookups.offer(offer)
    by_hand = request.POST.get("do") == HAND
    says = _("Handed over: it is noted.") if by_hand else _("The quote is on its way.")
    return command_page(
        request, SendForm(request.POST or None, seen=found.commission.version),
        lambda call, *, to: send_offer(call, offer=offer, to=to, by_hand=by_hand),
        (says, "web:offer", offer), "web/billing/offer_send.html", lambda: _about(found),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def again(request: SignedIn, offer: str) -> HttpResponse:
    """Ask once more for an answer, with words that are proposed."""
    found = lookups.offer(offer)
    shop = profile()
    texts = Texts(refs_of([found.commission, *([shop] if shop else [])]))
    initial = {"words": proposed_words(found, texts=texts)}
    return command_page(
        request, FollowUpForm(request.POST or None, seen=found.commission.version, initial=initial),
        partial(follow_up, offer=offer), (_("The mail is on its way."), "web:offer", offer),
        "web/billing/offer_again.html", lambda: _about(found),
    )  # fmt: skip


@owner
@require_http_methods(["GET", "POST"])
def lost(request: SignedIn, offer: str) -> HttpResponse:
    """Revise a quote that lapsed, or let it go and say why once."""
    found = lookups.offer(offer)
    return command_page(
        request, DeclineForm(request.POST or None, seen=found.commission.version),
        lambda call, *, because, reason: let_go(
            call, offer=offer, reason=reason, **({"because": because} if because else {})
        ),
        (_("It is noted."), "web:commission", found.commission.number),
        "web/billing/offer_lost.html", lambda: _about(found),
    )  # fmt: skip


@owner
@require_POST
def take_up(request: SignedIn, number: str) -> HttpResponse:
    """Take a declined commission up again."""
    form = PageForm(request.POST)
    return carried_out(
        request, form, partial(take_back_decline, commission=number),
        (_("Commission %(number)s goes on.") % {"number": number}, "web:commission", number),
        lambda: redirect("web:commission", number),
    )  # fmt: skip


def _about(found: Offer) -> dict[str, Any]:
    """Return what these pages say of the quote."""
    today, commission = timezone.localdate(), found.commission
    texts = Texts(refs_of([commission, commission.client]))
    return {
        "offer": offer_view(found, today=today),
        "state": quote_state(found, today),
        "is_quote": found.kind == Offer.Kind.QUOTE,
        "client": texts[commission.client.name_ref],
        "address": texts[commission.client.email_ref],
        "about": texts[commission.title_ref],
    }
