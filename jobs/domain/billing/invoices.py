"""Content of invoices, read once and frozen: later changes do not reach it."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Sums
from jobs.core.errors import Invalid, NotYet
from jobs.domain import lookups
from jobs.domain.billing.balances import Account, account, summary_of
from jobs.domain.billing.deposits import (
    Ask,
    deposit_parts,
    deposit_words,
    deposits_of,
    lines_of_parts,
    lines_off,
    rest_of,
    sums_of,
)
from jobs.domain.billing.invoice_data import Gap, gaps
from jobs.domain.billing.paying import day_of_supply, paying_content
from jobs.domain.billing.prices import is_with_tax, line_views, price_of
from jobs.domain.billing.taxes import gross_of, lacking, reasoned, totals_of
from jobs.domain.checks import about
from jobs.domain.papers.letterhead import currency_of, heading
from jobs.domain.settings import settings
from jobs.models import Commission, Invoice, Paper, PriceLine

SUMS = ("currency", "net", "tax", "total", "paid_before", "due", "due_on", "totals")
"""The figures that an invoice keeps beside its frozen content."""
OF_TAX = ("category", "rate_pct", "taxable", "tax")


def figures_of(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return the figures of an invoice alone; why no tax is charged is personal and stays in its content."""
    totals = [{name: tax[name] for name in OF_TAX} for tax in content["totals"]]
    return {**{name: content[name] for name in SUMS}, "totals": totals}


def data_gaps(commission: Commission) -> list[Gap]:
    """Return what an invoice issued now would lack for its structured data."""
    lines = [{"tax_category": line.tax_category} for line in lookups.price_lines(commission)]
    supplied_on = day_of_supply(commission)
    return gaps(
        {**heading(commission), **paying_content(commission), "supplied_on": supplied_on, "lines": lines}
    )


def tax_gaps(commission: Commission) -> list[Gap]:
    """Return what an invoice issued now would be refused for: what its lines without tax need."""
    return lacking(heading(commission), [line.tax_category for line in lookups.price_lines(commission)])


def usual_due(issued_on: date) -> date:
    """Return the due date of an invoice by the shop's usual term."""
    return issued_on + timedelta(days=int(settings()["invoice_due_days"]))


def invoice_content(
    commission: Commission, *, due_on: date, today: date, supplied_on: date | None = None
) -> dict[str, Any]:
    """Return the price line by line, less the deposit invoices, with its sums and payments."""
    lines = lookups.price_lines(commission)
    _refuse_unless_priced(commission, lines)
    deposits, price = deposits_of(commission), price_of(lines)
    shown = [*line_views(lines, price), *lines_off(deposits, currency_of(commission))]
    rest = rest_of(price.sums, deposits)
    held = account(commission)
    sums = sums_of(shown, paid=held.free, taxes=rest)
    content = _invoice(held, commission, shown, sums, due_on=due_on, today=today)
    content["supplied_on"] = supplied_on or day_of_supply(commission)
    return {**content, "deposits": [{"paper": one.number} for one in deposits]} if deposits else content


def price_sums(commission: Commission) -> Sums:
    """Return the sums of the price before any deposit; refuse a commission without a price."""
    lines = lookups.price_lines(commission)
    _refuse_unless_priced(commission, lines)
    return price_of(lines).sums


def deposit_content(
    commission: Commission, *, ask: Ask, whole: Sums, due_on: date, today: date
) -> dict[str, Any] | None:
    """Return a part of the agreed price with its own tax; None where that comes to nothing."""
    earlier = deposits_of(commission)
    parts = deposit_parts(whole, earlier, ask)
    total = gross_of(parts)
    if not total:
        return None
    currency = currency_of(commission)
    asked = sum((gross_of(one.parts) for one in earlier), total)
    if total < 0 or asked > whole.gross:
        allowed = f"deposits of up to {whole.gross} {currency} together"
        field, value = ("pct", ask.pct) if ask.amount is None else ("amount", ask.amount)
        raise Invalid("deposits come to more than the price", field=field, value=value, allowed=allowed)
    shown, held = lines_of_parts(parts, deposit_words(whole, ask, total, currency)), account(commission)
    sums = sums_of(shown, paid=min(held.free, total), taxes=parts)
    content = _invoice(held, commission, shown, sums, due_on=due_on, today=today, what=Paper.DEPOSIT)
    received = [payment["received_on"] for payment in content["payments"]]
    return {**content, "supplied_on": max(received, default=None)}


def _refuse_unless_priced(commission: Commission, lines: list[PriceLine]) -> None:
    if not lines:
        raise about(commission, "has no price", allowed="set the price first", error=NotYet)


def _invoice(
    held: Account, commission: Commission, lines: list[dict[str, Any]], sums: Sums, *, due_on: date,
    today: date, what: str = "",
) -> dict[str, Any]:  # fmt: skip
    return {
        "lines": lines,
        "with_tax": is_with_tax(commission),
        "payments": _payments(held, sums.paid),
        "currency": currency_of(commission),
        "net": sums.net,
        "tax": sums.tax,
        "total": sums.gross,
        "paid_before": sums.paid,
        "due": sums.due,
        "due_on": due_on,
        **paying_content(commission),
        "totals": reasoned(totals_of(sums), heading(commission)),
        "order": order_with(
            commission, held, Paper(kind=Paper.INVOICE, what=what), total=sums.gross, due_on=due_on,
            today=today,
        ),
        **({"what": what} if what else {}),
    }  # fmt: skip


def order_with(
    commission: Commission, held: Account, paper: Paper, *, total: Decimal, due_on: date, today: date
) -> dict[str, Any]:
    """Return the money of the whole order with a paper that is about to be issued."""
    document = Invoice(paper=paper, total=total, due_on=due_on, totals=[])
    return vars(summary_of(commission, today=today, held=held.with_document(document)))


def _payments(held: Account, paid: Decimal) -> list[dict[str, Any]]:
    """Return the payments that no earlier invoice counted, up to the amount taken off this one."""
    found = []
    for payment, rest in zip(held.payments, held.allocation.rests, strict=True):
        amount = min(rest, paid)
        if amount > 0:
            found.append({"amount": amount, "received_on": payment.received_on, "what": payment.what})
            paid -= amount
    return found
