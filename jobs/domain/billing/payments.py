"""Commands on money received and money given back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from jobs.core.errors import Invalid, NotYet, Probably
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, account, summary_of
from jobs.domain.billing.sending import on_its_way
from jobs.domain.billing.statements import receipt_for
from jobs.domain.checks import about, at_most, has_reason, one_of, person_name
from jobs.domain.papers.letterhead import currency_of
from jobs.domain.waits.closing import close_if_settled
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Commission, Event
from jobs.models.bases import ROWS_PER_EVENT, row_key

WHATS = ("deposit", "payment")
METHODS = ("cash", "check", "transfer", "card", "other")
"""How money comes; empty where nobody said."""
REPAYMENT = "repayment"
MOST = Decimal("100000000")
CENT = Decimal("0.01")


@dataclass(frozen=True, kw_only=True)
class Share:
    """The part of a payment that is for one invoice."""

    paper: str
    amount: Decimal


@command
def record_payment(
    tx: CommandTransaction,
    *,
    commission: str,
    amount: Decimal,
    received_on: date | None = None,
    what: str = "payment",
    method: str = "",
    note: str = "",
    allocated: Sequence[Share] = (),
    again: bool = False,
    more_than_owed: bool = False,
    receipt: bool = False,
    send: str = "",
    to: str = "",
) -> None:
    """Record money received on a commission: a deposit before the invoice, or a payment.

    It pays the invoices named in ``allocated``; the rest pays the oldest invoices. Refuse the same amount on
    the same day unless ``again`` confirms it. Refuse more than is owed unless ``more_than_owed`` confirms it.
    ``receipt`` issues the receipt, and ``send`` also mails it or records that it was handed over. The last
    payment of a delivered order closes it.
    """
    tx.require_owner("money received")
    found = _open_to(tx, commission)
    take_money(
        tx, found, amount=amount, received_on=received_on, what=what, method=method, note=note,
        allocated=allocated, again=again, more_than_owed=more_than_owed, receipt=receipt, send=send, to=to,
    )  # fmt: skip


def take_money(
    tx: CommandTransaction,
    commission: Commission,
    *,
    amount: Decimal,
    received_on: date | None,
    what: str,
    method: str,
    note: str,
    allocated: Sequence[Share],
    again: bool,
    more_than_owed: bool,
    receipt: bool,
    send: str,
    to: str,
    replaces: str = "",
) -> None:
    """Append a payment with its receipt, and close what is settled by it. Called by other commands.

    ``replaces`` is the receipt of the payment that this one corrects.
    """
    one_of(what, WHATS, "no such payment", field="what")
    if method:
        one_of(method, METHODS, "no such way to pay", field="method")
    _check_amount(amount)
    day = _day(tx, received_on)
    if not again:
        _refuse_twin(commission, amount, day)
    named = _named(account(commission), allocated, amount)
    if not more_than_owed:
        _refuse_too_much(commission, amount, day)
    payment = _append(
        tx, commission, amount=amount, day=day, what=what, method=method, note=note, named=named
    )
    if receipt or send:
        number = receipt_for(tx, lookups.payment(payment), replaces=replaces)
        if send:
            on_its_way(tx, number, how=send, to=to)
    close_if_settled(tx, commission)


@command
def record_repayment(
    tx: CommandTransaction, *, commission: str, amount: Decimal, reason: str, received_on: date | None = None
) -> None:
    """Record money given back: at most the received amount that no invoice needs."""
    tx.require_owner("money given back")
    found = _open_to(tx, commission)
    _check_amount(amount)
    has_reason(reason, what="giving back")
    free = account(found).free
    if amount > free:
        raise Invalid(
            "more than is free", field="amount", value=amount,
            allowed=f"up to {free} {currency_of(found)}, what was received and no invoice needs; "
            "an invoice that no longer holds is credited first",
        )  # fmt: skip
    day = _day(tx, received_on)
    _append(tx, found, amount=-amount, day=day, what=REPAYMENT, method="", note=reason, named=[])


def _open_to(tx: CommandTransaction, commission: str) -> Commission:
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    if found.step in (Commission.Step.ENQUIRY, Commission.Step.DECLINED):
        raise about(found, f"is {found.step}", allowed="a quoted or accepted commission")
    return found


def _check_amount(amount: Decimal, field: str = "amount") -> None:
    if why := _not_an_amount(amount):
        raise Invalid(why, field=field, value=amount, allowed=f"0.01 to {MOST}, two decimals")


def _not_an_amount(amount: Decimal) -> str:
    if not amount.is_finite():
        return "not a number"
    if amount < 0:
        return "a negative amount; record money given back as a repayment"
    if amount == 0:
        return "an amount of nothing"
    if amount > MOST:
        return f"more than {MOST}"
    return "parts of a cent" if amount != amount.quantize(CENT) else ""


def _day(tx: CommandTransaction, received_on: date | None) -> date:
    today = timezone.localtime(tx.call.now).date()
    day = received_on or today
    at_most(day, today, "received in the future", field="received_on")
    return day


def _refuse_twin(commission: Commission, amount: Decimal, day: date) -> None:
    twin = commission.payments.filter(amount=amount, received_on=day, voided_at=None).order_by("-id").first()
    if twin is None:
        return
    event = Event.objects.get(seq=twin.id // ROWS_PER_EVENT)
    at, by = timezone.localtime(event.recorded_at), person_name(event.actor)
    raise Probably(
        f"{amount} {twin.currency} of {day} was recorded already by {by} at {at:%H:%M} on {at:%Y-%m-%d}",
        field="again",
        value=False,
        allowed="another amount or day, or to say that it came twice",
        extra={"recorded_at": at.isoformat(), "recorded_by": by},
    )


def _refuse_too_much(commission: Commission, amount: Decimal, day: date) -> None:
    """Refuse more than is left to pay on the order; without a price and an invoice nothing is known."""
    left = summary_of(commission, today=day).left
    if left is not None and amount > left:
        currency = currency_of(commission)
        raise Probably(
            f"{amount} {currency} is {amount - left} {currency} more than the {left} {currency} owed",
            field="more_than_owed",
            value=False,
            allowed=f"up to {left}, or to say that so much came",
            extra={"left": str(left)},
        )


def _named(held: Account, allocated: Sequence[Share], amount: Decimal) -> list[dict[str, object]]:
    open_sums = {invoice.paper.number: held.open(invoice) for invoice in held.invoices}
    if allocated and not open_sums:
        raise NotYet("there is no invoice to pay", field="allocated", value="", allowed="issue one first")
    seen: set[str] = set()
    for n, share in enumerate(allocated):
        field = f"allocated/{n}"
        if share.paper not in open_sums or share.paper in seen:
            says, allowed = "no invoice of this commission that holds, or named twice", ", ".join(open_sums)
            raise Invalid(says, field=f"{field}/paper", value=share.paper, allowed=allowed)
        _check_amount(share.amount, f"{field}/amount")
        left = open_sums[share.paper]
        at_most(share.amount, left, f"more than is open on {share.paper}", field=f"{field}/amount")
        seen.add(share.paper)
    together = sum((share.amount for share in allocated), Decimal(0))
    at_most(together, amount, "the shares are more than the payment", field="allocated")
    return [{"paper": share.paper, "amount": share.amount} for share in allocated]


def _append(
    tx: CommandTransaction,
    commission: Commission,
    *,
    amount: Decimal,
    day: date,
    what: str,
    method: str,
    note: str,
    named: list[dict[str, object]],
) -> int:
    """Append a payment; return its key."""
    event = tx.append(
        "payment_received",
        f"commission:{commission.number}",
        {
            "commission": commission.number,
            "amount": amount,
            "currency": currency_of(commission),
            "received_on": day,
            "what": what,
            "method": method,
            "note": store_private_text(note, field="note", longest=1000),
            "allocated": named,
        },
    )
    return row_key(event.seq)
