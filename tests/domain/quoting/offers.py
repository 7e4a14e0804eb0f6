"""Quotes drafted, issued and accepted for the tests."""

from decimal import Decimal
from typing import Any

from jobs.domain.billing.prices import Line
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.models import Event, Offer, Piece
from tests.shop_fixtures import Work

OAK, WALNUT = "white oak", "black walnut"


def drafted(work: Work, piece: Piece, **more: Any) -> Offer:
    given = {"hours": {piece.number: Decimal(20)}, **more}
    draft_quote(work.call(), commission=piece.commission.number, **given)
    return Offer.objects.get(number=f"{piece.commission.number}-Q1")


def issued(work: Work, piece: Piece, **more: Any) -> Offer:
    offer = drafted(work, piece, **more)
    issue_offer(work.call(), offer=offer.number)
    return newest(offer)


def newest(offer: Offer) -> Offer:
    return Offer.objects.filter(number=offer.number).latest("version")


def accept(work: Work, offer: Offer, **more: Any) -> Any:
    return accept_offer(work.call(), offer=offer.number, version=offer.version, **more)


def head() -> int:
    return Event.objects.latest("seq").seq


def a_line(price: str, quantity: str = "1", **more: Any) -> Line:
    given = {"description": "Top as drawn", "tax_pct": Decimal(19), **more}
    return Line(unit_price=Decimal(price), quantity=Decimal(quantity), **given)
