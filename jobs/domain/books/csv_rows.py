"""Rows of the bookkeeper's file: invoices and credit notes by tax rate, payments, purchases."""

import json
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.domain.billing.balances import Account, accounts
from jobs.domain.books.accounts import account_of
from jobs.domain.books.periods import Period
from jobs.domain.papers.kinds import paper_title
from jobs.log.private_texts import FORGOTTEN, Texts
from jobs.models import Board, Commission, Cost, Invoice, Paper, Payment, Supply

Row = dict[str, Any]
PURCHASE = "purchase"
SUPPLY_ACCOUNT = {Supply.Kind.FINISH: Cost.Kind.FINISH}
"""The kind of cost that a container counts as, where it is not supplies."""


def rows_of(period: Period) -> list[Row]:
    """Return the rows of a period in the order of their days; a row lacks the cells that say nothing."""
    found = [*_sold(period), *_received(period), *_bought(period), *_boards(period), *_supplies(period)]
    return sorted(found, key=lambda row: (row["date"], row["order"], row["part"]))


def _sold(period: Period) -> Iterator[Row]:
    papers = Invoice.objects.filter(
        paper__kind__in=Paper.SUMMED, paper__issued_at__gte=period.begins, paper__issued_at__lt=period.ends
    )
    billed = list(papers.select_related("paper__commission__client").order_by("id"))
    texts = Texts(
        ref
        for i in billed
        if i.paper.commission
        for ref in (i.paper.commission.client.name_ref, i.paper.frozen_ref)
    )
    held = accounts(
        {i.paper.commission_id: i.paper.commission for i in billed if i.paper.commission}.values()
    )
    for invoice in billed:
        yield from _taxed(invoice, held[invoice.paper.commission_id or 0], texts)


def _taxed(invoice: Invoice, held: Account, texts: Texts) -> Iterator[Row]:
    """Yield a row for each tax rate of an invoice or a credit note, in the words of the paper."""
    paper, frozen = invoice.paper, _frozen(invoice.paper, texts)
    client, is_credit = frozen.get("client", {}), paper.kind == Paper.CREDIT
    supplied = frozen.get("supplied_on")
    for part, tax in enumerate(invoice.totals):
        net, due = Decimal(tax["taxable"]), Decimal(tax["tax"])
        if is_credit:
            net, due = -net, -due
        yield {
            "date": timezone.localtime(paper.issued_at).date(), "order": paper.id, "part": part,
            "kind": paper_title(paper.kind).lower(), "number": paper.number, "refers to": paper.credits,
            **_of(paper.commission, texts), "currency": invoice.currency,
            "tax category": tax["category"], "tax rate %": Decimal(tax["rate_pct"]),
            "net": net, "tax": due, "gross": net + due,
            "due date": "" if is_credit else invoice.due_on, "date of supply": supplied or "",
            "paid on": held.paid_on(invoice) or "",
            "country": client.get("country", ""), "tax id": client.get("tax_id", ""),
            "account": account_of("income_accounts", tax["category"]),
        }  # fmt: skip


def _frozen(paper: Paper, texts: Texts) -> dict[str, Any]:
    text = texts[paper.frozen_ref]
    return {} if text in ("", FORGOTTEN) else json.loads(text)


def _of(commission: Commission | None, texts: Texts) -> Row:
    if commission is None:
        return {}
    return {"commission": commission.number, "client": texts[commission.client.name_ref]}


def _received(period: Period) -> Iterator[Row]:
    found = Payment.objects.filter(received_on__range=(period.first, period.last), voided_at=None)
    received = list(found.select_related("commission__client").order_by("id"))
    texts = Texts(p.commission.client.name_ref for p in received)
    held = accounts({p.commission_id: p.commission for p in received}.values())
    receipts = dict(
        Paper.objects.filter(payment__in=received, withdrawn_at=None).values_list("payment_id", "number")
    )
    for payment in received:
        yield {
            "date": payment.received_on, "order": payment.id, "part": 0, "kind": payment.what,
            "number": receipts.get(payment.id, ""),
            "refers to": " ".join(number for number, _amount in held[payment.commission_id].shares(payment)),
            **_of(payment.commission, texts), "currency": payment.currency, "received": payment.amount,
            "method": payment.method, "account": account_of("money_accounts", payment.method),
        }  # fmt: skip


def _bought(period: Period) -> Iterator[Row]:
    found = Cost.objects.filter(day__range=(period.first, period.last), voided_at=None)
    costs = list(found.select_related("commission"))
    texts = Texts(ref for c in costs for ref in (c.what_ref, c.supplier_ref))
    for cost in costs:
        yield _purchase(
            cost.day, cost.id, cost.kind, texts[cost.what_ref], cost.net, cost.tax, cost.currency
        ) | {"commission": cost.commission.number, "supplier": texts[cost.supplier_ref]}  # fmt: skip


def _boards(period: Period) -> Iterator[Row]:
    """Yield the boards with a price on the day they came, offcuts left out."""
    boards = Board.objects.filter(
        added_at__gte=period.begins, added_at__lt=period.ends, price__isnull=False, cut_from=None
    )
    for board in boards:
        day = timezone.localtime(board.added_at).date()
        what = _("board %(number)s, %(species)s") % {"number": board.number, "species": board.species}
        yield _purchase(day, board.id, Cost.Kind.LUMBER, what, board.price, None, board.currency)


def _supplies(period: Period) -> Iterator[Row]:
    supplies = list(
        Supply.objects.filter(got_on__range=(period.first, period.last), price__isnull=False)
    )  # fmt: skip
    texts = Texts(supply.name_ref for supply in supplies)
    for one in supplies:
        kind = SUPPLY_ACCOUNT.get(Supply.Kind(one.kind), Cost.Kind.SUPPLIES)
        yield _purchase(one.got_on, one.id, kind, texts[one.name_ref], one.price, None, one.currency)


def _purchase(
    day: date, order: int, kind: str, what: str, net: Decimal | None, tax: Decimal | None, currency: str
) -> Row:
    """Return the row of a purchase: money out is negative, as a credit note's."""
    paid, on_it = -(net or Decimal(0)), None if tax is None else -tax
    return {
        "date": day, "order": order, "part": 0, "kind": PURCHASE, "what": what, "currency": currency,
        "net": paid, "tax": "" if on_it is None else on_it, "gross": paid + (on_it or 0),
        "account": account_of("cost_accounts", kind),
    }  # fmt: skip
