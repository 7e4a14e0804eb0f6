"""The invoice: what was agreed, tax, what was received, what is due. And its credit note."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from jobs.commands.commissions import TAX_CATEGORIES
from jobs.documents.layout import Frozen, html_of
from jobs.documents.wording import clean, day, money, needs_wrap, number, percent

TALL_LINES, TALL_LETTERS = 25, 1200
"""From here on a line of the price may run over the end of a page instead of moving to the next."""


def invoice_html(frozen: Frozen) -> str:
    """The invoice of this frozen content."""
    return html_of(
        "invoice",
        "Deposit invoice" if frozen.get("what") == "deposit" else "Invoice",
        frozen,
        {
            "currency": frozen["currency"],
            "exempt": _exempt(frozen),
            "due_on": day(frozen["due_on"]),
            "lines": [line_words(line) for line in frozen["lines"]],
            "sums": _sums(frozen),
        },
    )


def credit_html(frozen: Frozen) -> str:
    """The credit note of an invoice: its lines and sums, taken back."""
    return html_of(
        "invoice",
        "Credit note",
        frozen,
        {
            "currency": frozen["currency"],
            "exempt": _exempt(frozen),
            "credits": frozen["credits"],
            "reason": clean(frozen["reason"]),
            "lines": [line_words(line) for line in frozen["lines"]],
            "sums": [
                sum_row("Net", money(frozen["net"], frozen["currency"]), look="line"),
                *tax_rows(frozen),
                sum_row("Credited", money(frozen["total"], frozen["currency"]), look="due"),
            ],
        },
    )


def _exempt(frozen: Frozen) -> str:
    """Why no tax is charged on what is exempt."""
    is_exempt = any(line["tax_category"] == "E" for line in frozen["lines"])
    return clean(frozen["client"].get("exempt")) if is_exempt else ""


def line_words(line: Frozen) -> dict[str, Any]:
    """A line of a price as it is printed. For other papers."""
    description = clean(line["description"])
    return {
        "description": description,
        "wrap": needs_wrap(description),
        "tall": description.count("\n") >= TALL_LINES or len(description) > TALL_LETTERS,
        "quantity": number(line["quantity"]),
        "unit": line["unit"],
        "unit_price": money(line["unit_price"]),
        "tax": _tax(line["tax_category"], line["tax_pct"]),
        "amount": money(line["amount"]),
    }


def _tax(category: str, rate: str) -> str:
    return percent(rate) if category == "S" else TAX_CATEGORIES[category]


def _sums(frozen: Frozen) -> list[dict[str, Any]]:
    currency = frozen["currency"]
    received = [f"{day(p['received_on'])}, {p['what']}, {money(p['amount'])}" for p in frozen["payments"]]
    over = Decimal(frozen["due"]) < 0
    return [
        sum_row("Net", money(frozen["net"], currency), look="line"),
        *tax_rows(frozen),
        sum_row("Total", money(frozen["total"], currency), look="line strong"),
        sum_row("Received so far", money(-Decimal(frozen["paid_before"]), currency), under=received),
        sum_row(
            "Amount due",
            money(frozen["due"], currency),
            look="due",
            under=["more was received than the total: nothing to pay"] if over else [],
        ),
    ]


def tax_rows(frozen: Frozen) -> list[dict[str, Any]]:
    """The tax of each rate, as rows of the sums. For other papers."""
    return [
        sum_row(
            f"Tax, {_tax(t['category'], t['rate_pct'])} of {money(t['taxable'])}",
            money(t["tax"], frozen["currency"]),
        )
        for t in frozen["totals"]
    ]


def sum_row(what: str, amount: str, *, look: str = "", under: Sequence[str] = ()) -> dict[str, Any]:
    """A row of the sums. For other papers."""
    return {"what": what, "amount": amount, "look": look, "under": under}
