"""Reads of what clients owe, by age, and a year's invoices, credits and payments for the bookkeeper."""

import csv
import io
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from calcs.money.allocation import AGES, OLDEST, age
from jobs.domain.billing.balances import accounts
from jobs.domain.checks import in_range
from jobs.domain.papers.kinds import paper_title
from jobs.log.private_texts import UNSEEN, Texts
from jobs.models import Commission, Invoice, Paper, Payment

ZERO = Decimal("0.00")
COLUMNS = tuple(name for _, name in AGES) + (OLDEST,)
YEARS = (1990, 2199)
HEADER = (
    "date", "kind", "number", "refers to", "commission", "client", "currency", "tax category", "tax rate %",
    "net", "tax", "gross", "received",
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Characters that start a formula in a spreadsheet (OWASP, CSV injection)."""


def receivables(*, today: date) -> dict[str, Any]:
    """Return the open invoices by due date, and each client's sums by age, one account per currency."""
    owing = Commission.objects.filter(papers__kind=Paper.INVOICE, papers__withdrawn_at=None)
    commissions = {c.id: c for c in owing.select_related("client").distinct()}
    texts = Texts(c.client.name_ref for c in commissions.values())
    rows = []
    for key, held in accounts(commissions.values()).items():
        client = commissions[key].client
        of = {
            "commission": commissions[key].number,
            "client": {"id": client.id, "name": texts[client.name_ref]},
        }
        rows += [_row(i, held.open(i), today) | of for i in held.open_invoices]
    rows.sort(key=lambda row: (row["due_on"], row["paper"]))
    return {
        "today": today,
        "columns": list(COLUMNS),
        "invoices": rows,
        "accounts": [_aged(rows, currency) for currency in sorted({row["currency"] for row in rows})],
    }


def _row(invoice: Invoice, amount: Decimal, today: date) -> dict[str, Any]:
    late = (today - invoice.due_on).days
    return {
        "paper": invoice.paper.number,
        "currency": invoice.currency,
        "total": invoice.total,
        "open": amount,
        "due_on": invoice.due_on,
        "days_late": max(late, 0),
        "age": age(late),
    }


def _aged(rows: list[dict[str, Any]], currency: str) -> dict[str, Any]:
    """Return the sums of one currency: a line for each client, most owed first, and a line for all."""
    clients: dict[int, dict[str, Any]] = {}
    together = dict.fromkeys(COLUMNS, ZERO)
    for row in rows:
        if row["currency"] != currency:
            continue
        one = clients.setdefault(
            row["client"]["id"], {"client": row["client"], "ages": dict.fromkeys(COLUMNS, ZERO)}
        )
        one["ages"][row["age"]] += row["open"]
        together[row["age"]] += row["open"]
    lines = [_line(each) for each in clients.values()]
    lines.sort(key=lambda line: -line["open"])
    return {"currency": currency, "clients": lines, **_line({"ages": together})}


def _line(of: dict[str, Any]) -> dict[str, Any]:
    ages = [{"age": name, "amount": amount} for name, amount in of["ages"].items()]
    return {**of, "ages": ages, "open": sum(of["ages"].values(), ZERO)}


def year_csv(year: int) -> bytes:
    """Return a year as CSV, with a row for each tax rate and each payment.

    The text is UTF-8 with a byte order mark.
    """
    in_range(year, *YEARS, "no such year", field="year")
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(HEADER)
    for row in sorted(_booked(year), key=lambda row: (row["date"], row["order"], row["part"])):
        writer.writerow([_cell(row.get(name, "")) for name in HEADER])
    return out.getvalue().encode("utf-8-sig")


def _booked(year: int) -> Iterator[dict[str, Any]]:
    papers = Invoice.objects.filter(paper__kind__in=Paper.SUMMED, paper__issued_at__year=year).select_related(
        "paper__commission__client"
    )
    payments = Payment.objects.filter(received_on__year=year, voided_at=None)
    payments = payments.select_related("commission__client")
    billed, received = list(papers), list(payments)
    texts = Texts(
        c.client.name_ref
        for c in (*(i.paper.commission for i in billed), *(p.commission for p in received))
        if c
    )
    for invoice in billed:
        yield from _taxed(invoice, texts)
    of_money = accounts({p.commission_id: p.commission for p in received}.values())
    receipts = dict(
        Paper.objects.filter(payment__in=received, withdrawn_at=None).values_list("payment_id", "number")
    )
    for payment in received:
        yield {
            "date": payment.received_on, "order": payment.id, "part": 0, "kind": payment.what,
            "number": receipts.get(payment.id, ""),
            "refers to": " ".join(number for number, _ in of_money[payment.commission_id].shares(payment)),
            **_of(payment.commission, texts), "currency": payment.currency, "received": payment.amount,
        }  # fmt: skip


def _taxed(invoice: Invoice, texts: Texts) -> Iterator[dict[str, Any]]:
    paper = invoice.paper
    for part, tax in enumerate(invoice.totals):
        net, due = Decimal(tax["taxable"]), Decimal(tax["tax"])
        if paper.kind == Paper.CREDIT:
            net, due = -net, -due
        yield {
            "date": timezone.localtime(paper.issued_at).date(), "order": paper.id, "part": part,
            "kind": paper_title(paper.kind).lower(), "number": paper.number, "refers to": paper.credits,
            **_of(paper.commission, texts), "currency": invoice.currency,
            "tax category": tax["category"], "tax rate %": Decimal(tax["rate_pct"]),
            "net": net, "tax": due, "gross": net + due,
        }  # fmt: skip


def _of(commission: Commission | None, texts: Texts) -> dict[str, str]:
    if commission is None:
        return {}
    return {"commission": commission.number, "client": texts[commission.client.name_ref]}


def _cell(value: Any) -> str:
    """Return a cell's text; a text that a spreadsheet would run gets a quote before it.

    A Decimal stays a number. Characters that turn the direction of a text are removed, since old names may
    hold them.
    """
    if isinstance(value, Decimal):
        return f"{value:f}"
    text = UNSEEN.sub("", str(value))
    return f"'{text}" if text.startswith(FORMULA) else text
