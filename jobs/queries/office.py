"""What the office does next on a commission: quote, answer, invoice, payment. For the owner."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils import timezone

from jobs.models import Commission, Offer, Paper, Piece
from jobs.offers import standing
from jobs.private import Texts
from jobs.queries.offers import newest
from jobs.receivables import Account, accounts

WRITE, ISSUE, ANSWER, REVISE = (
    "Write a quote", "Issue the quote", "Record their answer", "Revise the quote",
)  # fmt: skip
CLOSE, ACCEPT = "Close as declined", "Accept without a quote"
INVOICE, PAYMENT = "Issue the invoice", "Record a payment"
WAITS_FOR_CLIENT = (ANSWER, ACCEPT)
"""What can be done only once the client has answered."""
Step = Commission.Step
SHOWN = 20
"""So many commissions stand on the bench with what the office does next."""


@dataclass(frozen=True, kw_only=True)
class OfficeStep:
    """One thing to do, and the quote that it is about."""

    do: str
    offer: str = ""


def office_steps(commissions: Collection[Commission], *, now: datetime) -> dict[int, list[OfficeStep]]:
    """Return what the office does next on each commission, the first thing first, in four queries."""
    asked = [c for c in commissions if c.step in Commission.UNDECIDED]
    delivered = [c for c in commissions if c.step == Step.DELIVERED]
    quotes = _newest_quotes(asked)
    with_pieces = set(Piece.objects.filter(commission__in=asked).values_list("commission_id", flat=True))
    held = accounts(delivered) if delivered else {}
    return {
        c.id: _steps(c, quotes.get(c.id), held.get(c.id), has_piece=c.id in with_pieces, now=now)
        for c in commissions
    }


def office_steps_of(
    commission: Commission, *, held: Account, has_piece: bool, now: datetime
) -> list[OfficeStep]:
    """Return what the office does next on one commission, from what has been read of it already."""
    quotes = [one for one in commission.offers.all() if one.kind == Offer.Kind.QUOTE]
    quote = next(iter(newest(quotes)), None)
    return _steps(commission, quote, held, has_piece=has_piece, now=now)


def _steps(
    commission: Commission, quote: Offer | None, held: Account | None, *, has_piece: bool, now: datetime
) -> list[OfficeStep]:
    if commission.step == Step.DELIVERED and held is not None:
        return _of_invoice(held)
    if commission.step not in Commission.UNDECIDED:
        return []
    if quote is None and commission.step == Step.ENQUIRY and not has_piece:
        return []
    return _of_quote(commission, quote, timezone.localtime(now).date())


def _newest_quotes(commissions: Iterable[Commission]) -> dict[int, Offer]:
    quotes = Offer.objects.filter(commission__in=list(commissions), kind=Offer.Kind.QUOTE)
    return {quote.commission_id: quote for quote in newest(quotes.order_by("id"))}


def _of_quote(commission: Commission, quote: Offer | None, today: date) -> list[OfficeStep]:
    if quote is None:
        return [OfficeStep(do=ACCEPT if commission.step == Step.QUOTED else WRITE)]
    stands = standing(quote, today)
    if stands == Offer.Step.DRAFT:
        steps = [OfficeStep(do=ISSUE, offer=quote.number)]
    elif stands == Offer.Step.ISSUED:
        steps = [OfficeStep(do=ANSWER, offer=quote.number)]
    else:
        steps = [OfficeStep(do=REVISE, offer=quote.number)]
    return [*steps, OfficeStep(do=CLOSE)] if commission.quote_declined else steps


def _of_invoice(held: Account) -> list[OfficeStep]:
    if not any(not invoice.paper.what for invoice in held.invoices):
        return [OfficeStep(do=INVOICE)]
    owed = sum((held.open(invoice) for invoice in held.invoices), Decimal(0))
    return [OfficeStep(do=PAYMENT)] if owed > 0 else []


def office_views(steps: Iterable[OfficeStep]) -> list[dict[str, str]]:
    return [vars(step) for step in steps]


def office_cards(*, now: datetime) -> list[dict[str, Any]]:
    """Return what the office can do now over all commissions, by their promise: a card for each."""
    has_piece = Exists(Piece.objects.filter(commission=OuterRef("pk")))
    paid = Paper.objects.filter(commission=OuterRef("pk"), kind=Paper.Kind.INVOICE, what="")
    asked = Commission.objects.filter(has_piece, step__in=Commission.UNDECIDED)
    billed = Commission.objects.filter(step=Step.DELIVERED).annotate(billed=Exists(paid))
    found = [
        *asked.select_related("client").order_by("promise_on", "number")[:SHOWN],
        *billed.select_related("client").order_by("billed", "promise_on", "number")[:SHOWN],
    ]
    steps = office_steps(found, now=now)
    texts = Texts([*(c.title_ref for c in found), *(c.client.name_ref for c in found)])
    return [
        {
            "commission": c.number,
            "commission_title": texts[c.title_ref],
            "client": texts[c.client.name_ref],
            "promise_on": c.promise_on if c.step in Commission.UNDECIDED else None,
            **vars(steps[c.id][0]),
        }
        for c in found
        if steps[c.id] and steps[c.id][0].do not in WAITS_FOR_CLIENT
    ]
