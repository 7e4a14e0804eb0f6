"""Quotes and change orders: write, revise, issue, and the client's answer as it was told to the shop."""

from collections.abc import Callable
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from jobs.api.billing.offer_serializers import (
    AcceptIn,
    ChangeIn,
    ChangeReviseIn,
    DeclineIn,
    DepositIn,
    OfferDone,
    OfferIssueIn,
    OfferOut,
    QuoteIn,
    QuoteReviseIn,
)
from jobs.api.commissions.views import line_of
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner
from jobs.api.kit.serializer_bases import CommandIn
from jobs.api.kit.shapes import Shape
from jobs.api.kit.view_bases import View
from jobs.api.papers.serializers import PaperDone
from jobs.api.papers.views import issued
from jobs.core.errors import NotFound
from jobs.domain import lookups
from jobs.domain.billing.invoice_commands import issue_deposit
from jobs.domain.quoting.acceptance import accept_offer, decline_offer
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.drafts import drop_draft
from jobs.domain.quoting.queries import offer_view
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer, rewrite_offer
from jobs.log.commands import CommandResult
from jobs.models import Client, Offer

MADE = {200: OfferDone, 201: OfferDone}


class OfferView(View):
    """What quotes and change orders share."""

    permission_classes = (Owner,)
    kind = Offer.Kind.QUOTE

    def find(self, number: str) -> Offer:
        found = lookups.offer(number)
        if found.kind != self.kind:
            raise NotFound("there is no such offer", field="offer", value=number[:80])
        return found

    def client_of(self, named: dict[str, str]) -> Client:
        if "offer" in named:
            return lookups.offer(named["offer"]).commission.client
        return lookups.commission(named["commission"]).client

    def versions(self, offers: Any) -> Response:
        today = timezone.localdate()
        return Response([present(offer_view(one, today=today)) for one in offers])

    def of_commission(self, commission: str) -> Response:
        found = lookups.commission(commission).offers.filter(kind=self.kind)
        return self.versions(found.select_related("commission", "paper").order_by("id"))

    def of_number(self, number: str) -> Response:
        found = Offer.objects.filter(number=self.find(number).number)
        return self.versions(found.select_related("commission", "paper").order_by("version"))

    def wrote(self, shape: type[Shape], verb: Callable[..., CommandResult], **named: Any) -> Response:
        asked = self.body(shape)
        call, units = self.call(asked), self.units(asked)
        if "lines" in asked:
            exempt = self.client_of(named).exempt_ref is not None
            asked["lines"] = [line_of(line, exempt=exempt) for line in asked["lines"]]
        if "alternatives" in asked:
            asked["alternatives"] = [Alternative(**one) for one in asked["alternatives"]]
        if verb is draft_quote:
            asked["units"] = units
        return self.answered(verb(call, **named, **asked), is_new="offer" not in named)

    def dropped(self, offer: str) -> Response:
        """Answers with the version before, null where there was none."""
        self.find(offer)
        asked = self.query(CommandIn)
        return self.answered(drop_draft(self.call(asked), offer=offer), named=offer)

    def did(self, shape: type[Shape], verb: Callable[..., CommandResult], offer: str) -> Response:
        self.find(offer)
        asked = self.body(shape)
        call = self.call(asked)
        if shape is OfferIssueIn:
            self.units(asked)
        return self.answered(verb(call, offer=offer, **asked), named=offer)

    def answered(self, done: CommandResult, *, is_new: bool = False, named: str = "") -> Response:
        number = named or done.events[0].data["offer"]
        name = "api:quote" if self.kind == Offer.Kind.QUOTE else "api:change-order"
        at = reverse(name, args=[number]) if is_new else None
        shown = lambda: present(offer_view(lookups.offer(number), today=timezone.localdate()))  # noqa: E731
        return self.done(done, "offer", shown, location=at)


class QuotesView(OfferView):
    """The quote of a commission."""

    permission_classes = (Owner,)

    @extend_schema(responses=OfferOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """Every version, oldest first."""
        return self.of_commission(commission)

    @extend_schema(request=QuoteIn, responses=MADE)
    def post(self, request: Request, commission: str) -> Response:
        """Write a quote; without lines they are proposed from the calculations and the shop's rates."""
        return self.wrote(QuoteIn, draft_quote, commission=commission)


class QuoteView(OfferView):
    """One quote."""

    permission_classes = (Owner,)

    @extend_schema(responses=OfferOut(many=True))
    def get(self, request: Request, offer: str) -> Response:
        """Every version, oldest first."""
        return self.of_number(offer)

    @extend_schema(parameters=[CommandIn], responses={200: OfferDone})
    def delete(self, request: Request, offer: str) -> Response:
        """Throw the draft away; the answer is the version before, or null."""
        return self.dropped(offer)


class QuoteReviseView(OfferView):
    """What a quote says."""

    permission_classes = (Owner,)

    @extend_schema(request=QuoteReviseIn, responses=OfferDone)
    def post(self, request: Request, offer: str) -> Response:
        """Change the draft; after an issued version a next one is begun, and what is not given stays."""
        self.find(offer)
        return self.wrote(QuoteReviseIn, rewrite_offer, offer=offer)


class QuoteIssueView(OfferView):
    """The issuing of a quote."""

    permission_classes = (Owner,)

    @extend_schema(request=OfferIssueIn, responses=OfferDone)
    def post(self, request: Request, offer: str) -> Response:
        """Issue the draft as a numbered paper; the version before is superseded."""
        return self.did(OfferIssueIn, issue_offer, offer)


class QuoteAcceptView(OfferView):
    """The client's yes."""

    permission_classes = (Owner,)

    @extend_schema(request=AcceptIn, responses=OfferDone)
    def post(self, request: Request, offer: str) -> Response:
        """Accept on the client's word: price, pieces, promise and deposit invoice follow at once."""
        return self.did(AcceptIn, accept_offer, offer)


class QuoteDeclineView(OfferView):
    """The client's no."""

    permission_classes = (Owner,)

    @extend_schema(request=DeclineIn, responses=OfferDone)
    def post(self, request: Request, offer: str) -> Response:
        """Decline on the client's word; it may be revised."""
        return self.did(DeclineIn, decline_offer, offer)


class ChangeOrdersView(OfferView):
    """The change orders of a commission."""

    permission_classes = (Owner,)
    kind = Offer.Kind.CHANGE

    @extend_schema(responses=OfferOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """Every version of each, oldest first."""
        return self.of_commission(commission)

    @extend_schema(request=ChangeIn, responses=MADE)
    def post(self, request: Request, commission: str) -> Response:
        """Write a change order: what is added or, counted below nothing, left out, and the new date."""
        return self.wrote(ChangeIn, draft_change_order, commission=commission)


class ChangeOrderView(QuoteView):
    """One change order."""

    permission_classes = (Owner,)
    kind = Offer.Kind.CHANGE


class ChangeReviseView(OfferView):
    """What a change order says."""

    permission_classes = (Owner,)
    kind = Offer.Kind.CHANGE

    @extend_schema(request=ChangeReviseIn, responses=OfferDone)
    def post(self, request: Request, offer: str) -> Response:
        """Change the draft; after an issued version a next one is begun, and what is not given stays."""
        self.find(offer)
        return self.wrote(ChangeReviseIn, rewrite_offer, offer=offer)


class ChangeIssueView(QuoteIssueView):
    """The issuing of a change order."""

    permission_classes = (Owner,)
    kind = Offer.Kind.CHANGE


class ChangeAcceptView(OfferView):
    """The client's yes to a change."""

    permission_classes = (Owner,)
    kind = Offer.Kind.CHANGE

    @extend_schema(request=AcceptIn, responses=OfferDone)
    def post(self, request: Request, offer: str) -> Response:
        """Accept on the client's word: price and promise change."""
        return self.did(AcceptIn, accept_offer, offer)


class ChangeDeclineView(QuoteDeclineView):
    """The client's no to a change."""

    permission_classes = (Owner,)
    kind = Offer.Kind.CHANGE


class DepositView(View):
    """Deposit invoices of a commission."""

    permission_classes = (Owner,)

    @extend_schema(request=DepositIn, responses={200: PaperDone, 201: PaperDone})
    def post(self, request: Request, commission: str) -> Response:
        """Invoice a part of the price; the invoice of the whole takes it off."""
        return issued(self, DepositIn, issue_deposit, commission)
