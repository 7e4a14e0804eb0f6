"""The invoice: the agreed price, tax, what was received, what is due. And its credit note."""

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext_noop as _

from calcs.kit.rounding import places
from jobs.documents.kit.layout import Frozen, commission_line, facts, html_of
from jobs.documents.kit.order import strip_of
from jobs.documents.kit.pay_box import pay_rows, payment_code
from jobs.documents.kit.tax_words import number_names, rate_words, tax_name, tax_within
from jobs.documents.kit.wording import MINUS, clean, day, money, needs_wrap, number
from jobs.domain.billing.invoices import invoice_content, usual_due
from jobs.domain.billing.paying import is_to_pay
from jobs.domain.papers.kinds import PaperKind, Step, register
from jobs.models import Commission, Paper

TALL_LINES, TALL_LETTERS = 25, 1200
"""From this length on, a line of the price may break across pages instead of moving to the next."""


def invoice_html(frozen: Frozen) -> str:
    """Return the HTML of an invoice from its frozen content."""
    return html_of(
        "invoice",
        "Deposit invoice" if frozen.get("what") == Paper.DEPOSIT else "Invoice",
        frozen,
        {
            **_shown(frozen),
            "facts": facts(
                ("Issued", day(frozen["issued_on"]) or "not issued"),
                ("Date of supply", day(frozen.get("supplied_on")) or _before_supply(frozen)),
                ("Pay by", day(frozen["due_on"]) if is_to_pay(frozen) else ""),
                ("Commission", commission_line(frozen), _part_of(frozen)),
                ("Agreed in", f"quote {frozen['agreed_in']}" if frozen.get("agreed_in") else ""),
                *_numbers(frozen),
            ),
            "strip": strip_of(frozen),
            "sums": _sums(frozen),
            "pay": pay_rows(frozen) if is_to_pay(frozen) else [],
            "code": payment_code(frozen) if is_to_pay(frozen) else "",
            "terms": clean(frozen["shop"]["terms"]),
        },
    )


def credit_html(frozen: Frozen) -> str:
    """Return the HTML of a credit note: what is taken back of its invoice, and what is left of that."""
    return html_of(
        "invoice",
        "Credit note",
        frozen,
        {
            **_shown(frozen),
            "facts": facts(
                ("Issued", day(frozen["issued_on"]) or "not issued"),
                ("Credits", f"invoice {frozen['credits']}"),
                ("Because", clean(frozen["reason"])),
                ("Commission", commission_line(frozen)),
                *_numbers(frozen),
            ),
            "strip": strip_of(frozen),
            "sums": [
                *price_rows(
                    frozen, sum_row("Credited", money(frozen["total"], frozen["currency"]), look="due")
                ),
                *_left_of_invoice(frozen),
            ],
        },
    )


def _shown(frozen: Frozen) -> dict[str, Any]:
    """Return the table of an invoice or a credit note."""
    return {
        "currency": frozen["currency"],
        "with_tax": bool(frozen.get("with_tax")),
        "lines": lines_of(frozen),
    }


def _before_supply(frozen: Frozen) -> str:
    """Return what stands for the date of supply before it; papers of before said nothing."""
    return "before delivery" if "supplied_on" in frozen else ""


def _part_of(frozen: Frozen) -> str:
    return "the final invoice" if frozen.get("deposits") else ""


def _numbers(frozen: Frozen) -> list[tuple[str, str]]:
    """Return the tax numbers of both, and what the client wants invoices to name."""
    names = number_names(frozen)
    return [
        (names["ours"], clean(frozen["shop"].get("tax_id"))),
        (names["yours"], clean(frozen["client"].get("tax_id"))),
        ("Your reference", clean(frozen["client"].get("buyer_reference"))),
    ]


def before_tax(frozen: Frozen) -> str:
    """Return the words for the sum without tax."""
    return f"Before {tax_within(frozen)}"


def _left_of_invoice(frozen: Frozen) -> list[dict[str, Any]]:
    """Return what the invoice asks for after this credit note, where it holds on."""
    if frozen.get("what") != Paper.PART:
        return []
    return [sum_row(f"Left of invoice {frozen['credits']}", money(frozen["left"], frozen["currency"]))]


def lines_of(frozen: Frozen) -> list[dict[str, Any]]:
    """Return the lines of a paper as printed: at the prices as they were typed."""
    return [_line(line, inside=bool(frozen.get("with_tax"))) for line in frozen["lines"]]


def _line(line: Frozen, *, inside: bool) -> dict[str, Any]:
    """Return a line of a price as printed; a deposit taken off has its tax inside where the prices have."""
    whole = line["gross"] if inside and "gross" in line else line["amount"]
    each = abs(Decimal(whole)) if "gross" in line else line["unit_price"]
    description = clean(line["description"])
    return {
        "description": description,
        "wrap": needs_wrap(description),
        "tall": description.count("\n") >= TALL_LINES or len(description) > TALL_LETTERS,
        "quantity": number(line["quantity"]).replace("-", MINUS),
        "unit": line["unit"],
        "unit_price": money(line.get("typed_price", each)),
        "tax": rate_words(line["tax_category"], line["tax_pct"]),
        "amount": money(line.get("typed_amount", whole)),
    }


def _sums(frozen: Frozen) -> list[dict[str, Any]]:
    """Return the sums of this invoice alone; the strip has those of the order."""
    currency, paid, due = frozen["currency"], Decimal(frozen["paid_before"]), Decimal(frozen["due"])
    received = [f"{day(p['received_on'])}, {p['what']}, {money(p['amount'])}" for p in frozen["payments"]]
    over = sum_row("In your favor", money(-due, currency), look="due", under=["there is nothing to pay"])
    total = sum_row(with_tax(frozen, "Total"), money(frozen["total"], currency), look="line strong")
    return [
        *price_rows(frozen, total),
        *([sum_row("Paid for this invoice", money(-paid, currency), under=received)] if paid else []),
        over if due < 0 else sum_row("To pay", money(due, currency), look="due"),
    ]  # fmt: skip


def with_tax(frozen: Frozen, what: str) -> str:
    """Return the words for a sum with its tax, for other papers too."""
    name = tax_within(frozen)
    return f"{what}, {name} included" if frozen.get("with_tax") else f"{what} with {name}"


def price_rows(
    frozen: Frozen, total: dict[str, Any], *, shown: Callable[[str, str], str] = money
) -> list[dict[str, Any]]:
    """Return what a price comes to, for other papers too: the tax on top, or inside below the total."""
    net = shown(frozen["net"], frozen["currency"])
    taxes = tax_rows(frozen)
    if frozen.get("with_tax"):
        return [total, *taxes, sum_row(before_tax(frozen), net)]
    return [sum_row(before_tax(frozen), net, look="line"), *taxes, total]


def tax_rows(frozen: Frozen) -> list[dict[str, Any]]:
    """Return the tax of each rate as rows of the sums."""
    name = f"{tax_name(frozen)} in it" if frozen.get("with_tax") else tax_name(frozen)
    return [
        sum_row(
            f"{name}, {rate_words(t['category'], t['rate_pct'])} of {money(t['taxable'])}",
            money(t["tax"], frozen["currency"]),
            under=[*_why_none(frozen, t), *_rounded(frozen, t)],
        )
        for t in frozen["totals"]
    ]


def _why_none(frozen: Frozen, tax: Frozen) -> list[str]:
    """Return why no tax is charged; papers of before hold that of exempt lines at the client."""
    of_before = frozen["client"].get("exempt") if tax["category"] == "E" else ""
    reason = clean(tax.get("reason", of_before))
    return [reason] if reason else []


def _rounded(frozen: Frozen, tax: Frozen) -> list[str]:
    """Return a remark where a tax differs from its base times its rate by a rounding."""
    figured = places(Fraction(Decimal(tax["taxable"])) * Fraction(Decimal(tax["rate_pct"])) / 100, 2)
    moved = Decimal(tax["tax"]) - figured
    if not moved:
        return []
    agreed = "prices" if frozen.get("with_tax") else "tax"
    way = "up" if moved > 0 else "down"
    return [f"rounded {way} by {abs(moved)}, so that all adds up to the agreed {agreed}"]


def sum_row(what: str, amount: str, *, look: str = "", under: Sequence[str] = ()) -> dict[str, Any]:
    """Return a row of the sums, for other papers too."""
    return {"what": what, "amount": amount, "look": look, "under": under}


def draft_content(commission: Commission, today: date) -> dict[str, Any]:
    """Return what an invoice would say if it was issued today."""
    return invoice_content(commission, due_on=usual_due(today), today=today)


register(
    PaperKind(
        key=Paper.INVOICE,
        prefix="I",
        title=_("Invoice"),
        layout=invoice_html,
        draft=draft_content,
        steps=(Step.ACCEPTED, Step.IN_SHOP, Step.READY, Step.DELIVERED, Step.CLOSED),
        before_another="one invoice for the agreed price; credit that one first",
        is_kept_by_law=True,
        is_for_client=True,
        rests_on_pieces=True,
        place=2,
    )
)
register(
    PaperKind(
        key=Paper.CREDIT,
        prefix="C",
        title=_("Credit note"),
        layout=credit_html,
        is_kept_by_law=True,
        is_for_client=True,
        place=3,
    )
)
