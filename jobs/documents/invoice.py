"""The invoice: what was agreed, tax, what was received, what is due and how to pay it."""

from typing import Any

from jobs.commands.commissions import TAX_CATEGORIES
from jobs.documents.layout import Frozen, html_of
from jobs.documents.wording import clean, day, money, number, percent

TALL_LINES, TALL_LETTERS = 25, 1200
"""From here on a line of the price may run over the end of a page instead of moving to the next."""


def invoice_html(frozen: Frozen) -> str:
    """The invoice of this frozen content."""
    return html_of(
        "invoice",
        "Invoice",
        frozen,
        {
            "currency": frozen["currency"],
            "due_on": day(frozen["due_on"]),
            "lines": [_line(line) for line in frozen["lines"]],
            "sums": _sums(frozen),
        },
    )


def _line(line: Frozen) -> dict[str, Any]:
    description = clean(line["description"])
    return {
        "description": description,
        "tall": description.count("\n") >= TALL_LINES or len(description) > TALL_LETTERS,
        "quantity": number(line["quantity"]),
        "unit": line["unit"],
        "unit_price": money(line["unit_price"]),
        "tax": _tax(line["tax_category"], line["tax_pct"]),
        "amount": money(line["amount"]),
    }


def _tax(category: str, rate: str) -> str:
    return percent(rate) if category == "S" else TAX_CATEGORIES[category]


def _sums(frozen: Frozen) -> list[dict[str, str]]:
    currency = frozen["currency"]
    rows = [{"what": "Net", "amount": money(frozen["net"], currency), "look": "line"}]
    rows += [
        {
            "what": f"Tax, {_tax(t['category'], t['rate_pct'])} of {money(t['taxable'])}",
            "amount": money(t["tax"], currency),
        }
        for t in frozen["totals"]
    ]
    rows.append({"what": "Total", "amount": money(frozen["total"], currency), "look": "line strong"})
    rows += [
        {
            "what": f"Received {day(p['received_on'])}, {p['what']}",
            "amount": f"-{money(p['amount'], currency)}".replace("--", ""),
        }
        for p in frozen["payments"]
    ]
    if len(frozen["payments"]) != 1:
        rows.append({"what": "Received so far", "amount": money(frozen["paid_before"], currency)})
    over = frozen["due"].startswith("-")
    what = "Received beyond the total" if over else "Amount due"
    return [*rows, {"what": what, "amount": money(frozen["due"], currency), "look": "due"}]
