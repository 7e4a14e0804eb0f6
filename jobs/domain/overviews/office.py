"""The owner's next steps on a commission: piece, quote, answer, invoice, payment."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery
from django.utils import timezone

from jobs.domain.billing.balances import Account, accounts
from jobs.domain.quoting.next_step import AGAIN, WAIT, next_step, with_client, with_sending
from jobs.domain.quoting.queries import newest
from jobs.log.private_texts import Texts
from jobs.models import Appointment, Commission, Invoice, Offer, Piece

ADD, WRITE, ACCEPT = "Add the piece", "Write the quote", "Accept without a quote"
AGREE = "Agree the day of delivery"
SEND_DEPOSIT, TAKE_DEPOSIT = "Send the deposit invoice", "Record the deposit"
INVOICE, SEND_INVOICE = "Issue the invoice and send it", "Send the invoice"
PAYMENT, REMIND = "Record the payment", "Remind of the payment"
MONEY = (INVOICE, SEND_INVOICE, REMIND, PAYMENT)
"""Steps that a stage about money waits for."""
WITH_CLIENT = (WAIT, AGAIN)
"""Steps of a quote that lies with the client."""
WAITS_FOR_CLIENT = (*WITH_CLIENT, ACCEPT, TAKE_DEPOSIT)
"""Steps that wait for the client; a reminder says when to ask again."""
Step = Commission.Step
BEFORE_DELIVERY = (Step.ACCEPTED, Step.IN_SHOP, Step.READY)
BILLED = (*BEFORE_DELIVERY, Step.DELIVERED)
"""Steps in which a deposit or the invoice may be open."""
SHOWN = 20
"""Number of commissions with an office step on the bench."""


@dataclass(frozen=True, kw_only=True)
class OfficeStep:
    """One step to do, its quote, and the invoice to send or to remind of."""

    do: str
    offer: str = ""
    paper: str = ""


def office_steps(commissions: Collection[Commission], *, now: datetime) -> dict[int, list[OfficeStep]]:
    """Return the owner's next steps on each commission, the first one first, in four queries."""
    asked = [c for c in commissions if c.step in Commission.UNDECIDED]
    billed = [c for c in commissions if c.step in BILLED]
    quotes = _newest_quotes(asked)
    met = _with_delivery([c for c in commissions if c.step == Step.READY])
    with_pieces = set(Piece.objects.filter(commission__in=asked).values_list("commission_id", flat=True))
    held = accounts(billed) if billed else {}
    return {
        c.id: [
            *_of_delivery(c, met),
            *_steps(c, quotes.get(c.id), held.get(c.id), has_piece=c.id in with_pieces, now=now),
        ]
        for c in commissions
    }


def office_steps_of(
    commission: Commission, *, held: Account, has_piece: bool, now: datetime
) -> list[OfficeStep]:
    """Return the owner's next steps on one commission, from rows read before."""
    quotes = [one for one in commission.offers.all() if one.kind == Offer.Kind.QUOTE]
    quote = next(iter(newest(quotes)), None)
    met = _with_delivery([commission] if commission.step == Step.READY else [])
    first = _of_delivery(commission, met)
    return [*first, *_steps(commission, quote, held, has_piece=has_piece, now=now)]


def _steps(
    commission: Commission, quote: Offer | None, held: Account | None, *, has_piece: bool, now: datetime
) -> list[OfficeStep]:
    if commission.step in BILLED and held is not None:
        is_delivered = commission.step == Step.DELIVERED
        return _of_invoices(held, timezone.localtime(now).date(), is_delivered=is_delivered)
    if commission.step not in Commission.UNDECIDED:
        return []
    return _of_quote(commission, quote, timezone.localtime(now).date(), has_piece=has_piece)


def _with_delivery(ready: Collection[Commission]) -> set[int]:
    """Return those of these commissions whose delivery has a day."""
    if not ready:
        return set()
    planned = _deliveries(commission__in=ready)
    return {key for key in planned.values_list("commission_id", flat=True) if key}


def _deliveries(**of: Any) -> QuerySet[Appointment]:
    """Return the planned deliveries of commissions."""
    return Appointment.objects.filter(kind=Appointment.Kind.DELIVERY, step=Appointment.Step.PLANNED, **of)


def _of_delivery(commission: Commission, met: set[int]) -> list[OfficeStep]:
    """Return the step to agree a day where something is ready and has none."""
    ready = commission.step == Step.READY and commission.id not in met
    return [OfficeStep(do=AGREE)] if ready else []


def _newest_quotes(commissions: Iterable[Commission]) -> dict[int, Offer]:
    quotes = with_sending(Offer.objects.filter(commission__in=list(commissions), kind=Offer.Kind.QUOTE))
    return {quote.commission_id: quote for quote in newest(quotes.order_by("id"))}


def _of_quote(
    commission: Commission, quote: Offer | None, today: date, *, has_piece: bool
) -> list[OfficeStep]:
    if quote is None and commission.step == Step.QUOTED:
        return [OfficeStep(do=ACCEPT)]
    if quote is None:
        return [OfficeStep(do=WRITE if has_piece else ADD)]
    out = with_client(getattr(quote, "sent_at", None), getattr(quote, "opened_at", None))
    return [OfficeStep(do=next_step(quote, out, today), offer=quote.number)]


def _of_invoices(held: Account, today: date, *, is_delivered: bool) -> list[OfficeStep]:
    """Return what comes next with the invoices: issue, send, remind where one is late, take the money."""
    if is_delivered and not held.is_billed:
        return [OfficeStep(do=INVOICE)]
    unpaid = held.open_invoices
    if not unpaid:
        return []
    is_deposit = bool(unpaid[0].paper.what) and not is_delivered
    steps = [OfficeStep(do=TAKE_DEPOSIT if is_deposit else PAYMENT)]
    late = next((one.paper for one in unpaid if one.due_on < today), None)
    unsent = next((one.paper for one in unpaid if not _is_sent(one)), None)
    if unsent is not None:
        steps.insert(0, OfficeStep(do=SEND_DEPOSIT if unsent.what else SEND_INVOICE, paper=unsent.number))
    elif late is not None:
        steps.insert(0, OfficeStep(do=REMIND, paper=late.number))
    return steps


def _is_sent(invoice: Invoice) -> bool:
    """Return whether an invoice went to the client, from an account of many or from its sendings."""
    known = vars(invoice).get("was_sent")
    return invoice.paper.last_sent is not None if known is None else bool(known)


def office_views(steps: Iterable[OfficeStep]) -> list[dict[str, str]]:
    return [vars(step) for step in steps]


def office_cards(*, now: datetime) -> list[tuple[Commission, OfficeStep]]:
    """Return the owner's possible steps over all commissions, by promised day, in one query."""
    return [(each, step) for each, step in office_rows(now=now) if step.do not in WAITS_FOR_CLIENT]


def office_rows(*, now: datetime) -> list[tuple[Any, OfficeStep]]:
    """Return the commissions of the office with their next step, those too that wait for the client.

    Money that is asked for before the delivery is waited for until its day has passed.
    """
    today = timezone.localtime(now).date()
    found = list(
        Commission.objects.filter(step__in=(*Commission.UNDECIDED, *BILLED))
        .annotate(
            to_agree=~Exists(_deliveries(commission=OuterRef("pk"))),
            has_piece=Exists(Piece.objects.filter(commission=OuterRef("pk"))),
            quote_number=_of_newest_quote("number"),
            quote_step=_of_newest_quote("step"),
            quote_until=_of_newest_quote("valid_until"),
            quote_sent=_of_newest_quote("sent_at"),
        )
        .select_related("client")
        .order_by(F("promise_on").asc(nulls_last=True), "number")
    )
    held = accounts([one for one in found if one.step in BILLED])
    met = {one.id for one in found if not one.to_agree}
    cards: list[tuple[Any, OfficeStep]] = []
    for commission in found:
        if commission.step in BILLED:
            is_delivered = commission.step == Step.DELIVERED
            billed = _of_invoices(held[commission.id], today, is_delivered=is_delivered)
            rests = not is_delivered and billed and billed[0].do in (TAKE_DEPOSIT, PAYMENT)
            steps = [*_of_delivery(commission, met), *([] if rests else billed)]
        else:
            quote = commission.quote_number and Offer(
                number=commission.quote_number,
                step=commission.quote_step,
                valid_until=commission.quote_until,
            )
            if quote:
                vars(quote)["sent_at"] = commission.quote_sent
            steps = _of_quote(commission, quote or None, today, has_piece=commission.has_piece)
        cards += [(commission, step) for step in steps[:1]]
    return cards[:SHOWN]


def _of_newest_quote(name: str) -> Subquery:
    """Return a subquery for a column of the newest version of each commission's quote."""
    quotes = with_sending(Offer.objects.filter(commission=OuterRef("pk"), kind=Offer.Kind.QUOTE))
    return Subquery(quotes.order_by("-version").values(name)[:1])


def office_card(commission: Commission, step: OfficeStep, texts: Texts) -> dict[str, Any]:
    """Return one step with the names of its commission and client."""
    return {
        "commission": commission.number,
        "commission_title": texts[commission.title_ref],
        "client": texts[commission.client.name_ref],
        "promise_on": commission.promise_on if commission.step in Commission.UNDECIDED else None,
        **vars(step),
    }


def quote_card(commission: Any, texts: Texts) -> dict[str, Any]:
    """Return a quote that lies with a client, with the names of its commission."""
    return {
        "commission": commission.number,
        "commission_title": texts[commission.title_ref],
        "client": texts[commission.client.name_ref],
        "offer": commission.quote_number,
        "sent_at": commission.quote_sent,
        "valid_until": commission.quote_until,
    }
