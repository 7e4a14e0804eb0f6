"""Content of receipts and statements of account, read once and frozen; commands that issue them."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from calcs.money.allocation import age
from jobs.core.errors import AlreadyDone, NotYet, WrongState
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, account, accounts, summaries, summary_of
from jobs.domain.billing.sending import on_its_way
from jobs.domain.checks import refuse_if_forgotten
from jobs.domain.papers.issuing import issue_paper
from jobs.domain.papers.kinds import paper_title
from jobs.domain.papers.letterhead import CLIENT_TEXTS, heading, shop_look, shop_texts
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import Texts, read, refs_of
from jobs.models import Client, Commission, Invoice, Paper, Payment

ZERO = Decimal("0.00")


def receipt_content(payment: Payment, *, today: date, replaces: str = "") -> dict[str, Any]:
    """Return the payment, the invoices it pays, and what they and the whole order still leave to pay.

    ``replaces`` is the receipt of the mistyped payment that this one corrects.
    """
    commission = payment.commission
    held = account(commission)
    order = summary_of(commission, today=today, held=held)
    return {
        **heading(commission),
        "currency": payment.currency,
        "payment": {
            "amount": payment.amount,
            "received_on": payment.received_on,
            "what": payment.what,
            "method": payment.method,
            "note": read(payment.note_ref),
        },
        "shares": [{"paper": number, "amount": amount} for number, amount in held.shares(payment)],
        "open": order.open if held.invoices else None,
        "free": held.free,
        "order": vars(order),
        **({"replaces": replaces} if replaces else {}),
    }


def statement_content(client: Client, *, today: date) -> dict[str, Any]:
    """Return a client's account with the money of each order."""
    held = _held(client)
    content, sums = _content(client, held, today), summaries(held, today=today)
    for each in content["accounts"]:
        each["orders"] = [
            {"commission": one.number, **vars(sums[one.id])}
            for one, of in held.items()
            if of.currency == each["currency"]
        ]
    return content


def account_content(client: Client, *, today: date) -> dict[str, Any]:
    """Return the moves of each currency with their balance, and the open invoices."""
    return _content(client, _held(client), today)


def _held(client: Client) -> dict[Commission, Account]:
    commissions = list(client.commissions.order_by("number"))
    held = accounts(commissions)
    return {one: held[one.id] for one in commissions}


def _content(client: Client, held: dict[Commission, Account], today: date) -> dict[str, Any]:
    texts = Texts(refs_of([client]))
    moves = sorted(_moves(held), key=lambda move: (move["on"], move["order"]))
    currencies = sorted({move["currency"] for move in moves})
    return {
        "shop": shop_texts(),
        "look": shop_look(),
        "client": {n: texts[getattr(client, f"{n}_ref")] for n in CLIENT_TEXTS},
        "commission": {"number": "", "title": "", "promise_on": None},
        "accounts": [
            {
                "currency": currency,
                "moves": _running([m for m in moves if m["currency"] == currency]),
                "open": [
                    _open(invoice, each.open(invoice), today)
                    for each in held.values()
                    for invoice in each.open_invoices
                    if invoice.currency == currency
                ],
                "free": sum((each.free for each in held.values() if each.currency == currency), ZERO),
            }
            for currency in currencies
        ],
    }


def _moves(held: dict[Commission, Account]) -> Iterator[dict[str, Any]]:
    for commission, of in held.items():
        for invoice in of.documents:
            yield _of_paper(invoice, commission.number)
        for payment in of.payments:
            yield _of_payment(payment, commission.number)


def _of_paper(invoice: Invoice, commission: str) -> dict[str, Any]:
    paper = invoice.paper
    return {
        "on": timezone.localtime(paper.issued_at).date(),
        "order": paper.id,
        "what": f"{_(paper_title(paper.kind))} {paper.number}",
        "commission": commission,
        "currency": invoice.currency,
        "amount": -invoice.total if paper.kind == Paper.CREDIT else invoice.total,
    }


def _of_payment(payment: Payment, commission: str) -> dict[str, Any]:
    return {
        "on": payment.received_on,
        "order": payment.id,
        "what": _(payment.what).capitalize(),
        "commission": commission,
        "currency": payment.currency,
        "amount": -payment.amount,
    }


def _running(moves: list[dict[str, Any]]) -> list[dict[str, Any]]:
    owed, rows = ZERO, []
    for move in moves:
        owed += move["amount"]
        rows.append({name: move[name] for name in ("on", "what", "commission", "amount")} | {"owed": owed})
    return rows


def _open(invoice: Invoice, amount: Decimal, today: Any) -> dict[str, Any]:
    late = (today - invoice.due_on).days
    return {
        "paper": invoice.paper.number, "due_on": invoice.due_on, "amount": amount, "late": max(late, 0),
        "age": age(late),
    }  # fmt: skip


@command
def issue_receipt(tx: CommandTransaction, *, payment: int, send: str = "", to: str = "") -> None:
    """Issue the receipt of a payment; each payment has at most one. ``send`` mails it or hands it over."""
    tx.require_owner("a receipt")
    found = lookups.payment(payment)
    tx.check_version(found.commission.version, what=f"commission {found.commission.number}")
    if found.amount < 0:
        raise WrongState("this was given back", field="payment", value=payment, allowed="money received")
    if found.voided_at is not None:
        raise WrongState("this payment is void", field="payment", value=payment, allowed="money received")
    earlier = found.receipts.first()
    if earlier is not None:
        raise AlreadyDone(
            f"receipt {earlier.number} is issued", field="payment", value=payment, allowed="one receipt",
            extra={"papers": [earlier.number]},
        )  # fmt: skip
    number = receipt_for(tx, found)
    if send:
        on_its_way(tx, number, how=send, to=to)


def receipt_for(tx: CommandTransaction, payment: Payment, *, replaces: str = "") -> str:
    """Issue the receipt of a payment; return its number. Called by other commands."""
    number, today = payment.commission.number, tx.call.day
    return issue_paper(
        tx, Paper.RECEIPT, receipt_content(payment, today=today, replaces=replaces),
        stream=f"commission:{number}", commission=number, payment=payment.id,
    )  # fmt: skip


@command
def issue_statement(tx: CommandTransaction, *, client: int) -> None:
    """Issue a client's statement of account as it stands today."""
    tx.require_owner("a statement of account")
    found = lookups.client(client)
    tx.check_version(found.version, what="this client")
    refuse_if_forgotten(found)
    content = statement_content(found, today=tx.call.day)
    if not content["accounts"]:
        raise NotYet(
            "nothing was billed or received", field="client", value=client, allowed="an invoice first"
        )
    issue_paper(tx, Paper.STATEMENT, content, stream=f"client:{found.id}", client=found.id)
