"""Quotes and change orders: write, revise, issue, and the client's answer as it was told to the shop."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.billing.acceptance_serializers import AcceptIn, SignedCopyIn
from jobs.api.billing.offer_serializers import (
    ChangeIn,
    ChangeReviseIn,
    DeclineIn,
    DepositIn,
    FollowUpIn,
    LetGoIn,
    OfferDone,
    OfferIssueIn,
    OfferOut,
    OfferSendIn,
    QuoteIn,
    QuoteReviseIn,
    TakeUpIn,
    TallyOut,
)
from jobs.api.commissions import views as commissions
from jobs.api.commissions.views import line_of
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner
from jobs.api.kit.resources import Resource
from jobs.api.kit.routes import COMMISSION, command_routes, route, view_route
from jobs.api.kit.view_bases import FileView, View
from jobs.api.papers.views import PAPER
from jobs.core.errors import NotFound
from jobs.core.units import Units
from jobs.documents.prints import confirmation_pdf
from jobs.domain import lookups
from jobs.domain.billing.invoice_commands import issue_deposit
from jobs.domain.billing.prices import UsualTax, usual_tax
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.accepted import keep_signed_copy
from jobs.domain.quoting.draft_content import Alternative, drop_draft
from jobs.domain.quoting.losses import let_go, take_back_decline
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import (
    draft_change_order,
    draft_quote,
    issue_offer,
    rewrite_offer,
    usual_tax_of,
)
from jobs.domain.quoting.sending import follow_up, send_offer
from jobs.domain.quoting.tally import quotes_by_year, quotes_out
from jobs.log.commands import CommandContext, CommandResult
from jobs.models import Offer


def _show(view: View, number: str) -> Any:
    return present(offer_view(lookups.offer(number), today=timezone.localdate()))


OFFER = Resource(name="offer", done=OfferDone, show=_show, key_of=lambda done: done.events[0].data["offer"])
QUOTE, CHANGE = replace(OFFER, address="quote"), replace(OFFER, address="change-order")


def _content(asked: dict[str, Any], usual: Callable[[date], UsualTax]) -> dict[str, Any]:
    """Return the content of a version, with lines and alternatives in the domain's classes."""
    content = dict(asked)
    if "lines" in content:
        tax = usual(timezone.localdate())
        content["lines"] = [line_of(line, tax) for line in content["lines"]]
    if "alternatives" in content:
        content["alternatives"] = [Alternative(**one) for one in content["alternatives"]]
    return content


def _draft_quote(call: CommandContext, *, commission: str, units: Units, **asked: Any) -> CommandResult:
    content = _content(asked, partial(usual_tax, lookups.commission(commission)))
    return draft_quote(call, commission=commission, units=units, **content)


def _draft_change(call: CommandContext, *, commission: str, **asked: Any) -> CommandResult:
    content = _content(asked, partial(usual_tax, lookups.commission(commission)))
    return draft_change_order(call, commission=commission, **content)


def _revise(call: CommandContext, *, offer: str, **asked: Any) -> CommandResult:
    return rewrite_offer(call, offer=offer, **_content(asked, partial(usual_tax_of, lookups.offer(offer))))


def _versions(found: Any) -> Response:
    today = timezone.localdate()
    return Response(
        [present(offer_view(one, today=today)) for one in found.select_related("commission", "paper")]
    )


class OfKindView(View):
    """An address of quotes, or of change orders: an offer of the other kind is not there."""

    permission_classes = (Owner,)
    kind = Offer.Kind.QUOTE

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if "offer" in kwargs and lookups.offer(kwargs["offer"]).kind != self.kind:
            raise NotFound("there is no such offer", field="offer", value=kwargs["offer"][:80])


class OffersView(OfKindView):
    """The offers of one kind of a commission."""

    @extend_schema(responses=OfferOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """Every version, oldest first."""
        return _versions(lookups.commission(commission).offers.filter(kind=self.kind).order_by("id"))


@extend_schema_view(get=extend_schema(description="Every version of each, oldest first."))
class ChangesView(OffersView):
    """The change orders of a commission: there may be several."""

    kind = Offer.Kind.CHANGE


class OfferView(OfKindView):
    """One quote or change order."""

    @extend_schema(responses=OfferOut(many=True))
    def get(self, request: Request, offer: str) -> Response:
        """Every version, oldest first."""
        return _versions(Offer.objects.filter(number=offer).order_by("version"))

    delete = OFFER.removes(drop_draft, "Throw the draft away; the answer is the version before, or null.")


class ConfirmationView(OfKindView, FileView):
    """What was accepted, on paper."""

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request: Request, offer: str) -> HttpResponse:
        """Who said yes to what, when and how; a print without a number, of what is kept."""
        made = confirmation_pdf(offer, today=timezone.localdate())
        return HttpResponse(made, content_type="application/pdf")


class TallyView(View):
    """Quotes over all commissions."""

    permission_classes = (Owner,)

    @extend_schema(responses=TallyOut)
    def get(self, request: Request) -> Response:
        """Those that are out now; by year what was won and lost, and why."""
        today = timezone.localdate()
        return Response(present({"out": quotes_out(today), "years": quotes_by_year(today)}))


REVISES = "Change the draft; after an issued version a next one is begun, and what is not given stays."
DRAFT_QUOTE = QUOTE.makes(
    _draft_quote, QuoteIn,
    "Write a quote; without lines they are proposed from the calculations and the shop's rates.",
)  # fmt: skip
DRAFT_CHANGE = CHANGE.makes(
    _draft_change, ChangeIn,
    "Write a change order: what is added, what is left out as a negative line, and the new date.",
)  # fmt: skip
DEPOSIT = PAPER.makes(
    issue_deposit, DepositIn, "Invoice a part of the price; the invoice of the whole takes it off."
)
OF_COMMISSION = {
    "take-up": commissions.COMMISSION.changes(
        take_back_decline, TakeUpIn,
        "Take a declined commission up again; a quote that the client declined is open again.",
    )
}  # fmt: skip
OF_BOTH = {
    "issue": OFFER.changes(
        issue_offer, OfferIssueIn,
        "Issue the draft as a numbered paper; the version before is superseded.",
    ),
    "send": OFFER.changes(
        send_offer, OfferSendIn,
        "Mail the newest version with its PDF and a link to the client's page; a draft is issued first.",
    ),
    "follow-up": OFFER.changes(follow_up, FollowUpIn, "Ask the client once more for an answer, by mail."),
    "let-go": OFFER.changes(
        let_go, LetGoIn, "Give up a quote that lapsed, or note once why one was declined."
    ),
    "decline": OFFER.changes(
        decline_offer, DeclineIn, "Decline on the client's word; a quote's commission is declined with it."
    ),
    "signed-copy": OFFER.changes(
        keep_signed_copy, SignedCopyIn, "Keep a picture of the signed copy with an accepted version."
    ),
}  # fmt: skip
OF_QUOTES = {
    **OF_BOTH,
    "revise": OFFER.changes(_revise, QuoteReviseIn, REVISES),
    "accept": OFFER.changes(
        accept_offer, AcceptIn,
        "Accept on the client's word: price, pieces, promise and deposit invoice follow at once.",
    ),
}  # fmt: skip
OF_CHANGES = {
    **OF_BOTH,
    "revise": OFFER.changes(_revise, ChangeReviseIn, REVISES),
    "accept": OFFER.changes(accept_offer, AcceptIn, "Accept on the client's word: price and promise change."),
}
QUOTE_AT, CHANGE_AT = "quotes/<str:offer>/", "change-orders/<str:offer>/"
IS_CHANGE: dict[str, Any] = {"kind": Offer.Kind.CHANGE}
ROUTES = [
    *command_routes(COMMISSION, Owner, OF_COMMISSION, name="commission-{}"),
    route(f"{COMMISSION}quotes/", "quotes", Owner, OffersView, post=DRAFT_QUOTE),
    route(f"{COMMISSION}change-orders/", "change-orders", Owner, ChangesView, post=DRAFT_CHANGE),
    route(f"{COMMISSION}deposit/", "deposit", Owner, post=DEPOSIT),
    view_route("quotes/", "quotes-tally", TallyView),
    route(f"{QUOTE_AT}confirmation/", "quote-confirmation", Owner, ConfirmationView),
    route(f"{CHANGE_AT}confirmation/", "change-confirmation", Owner, ConfirmationView, **IS_CHANGE),
    route(QUOTE_AT, "quote", Owner, OfferView, operation_suffix="_2"),
    route(CHANGE_AT, "change-order", Owner, OfferView, **IS_CHANGE),
    *command_routes(QUOTE_AT, Owner, OF_QUOTES, name="quote-{}", base=OfKindView),
    *command_routes(CHANGE_AT, Owner, OF_CHANGES, name="change-{}", base=OfKindView, **IS_CHANGE),
]
