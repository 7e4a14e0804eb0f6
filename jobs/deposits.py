"""Deposit invoices: what is asked beforehand, and how the invoice of the whole takes it off again.

A deposit invoice has sums and tax of its own. The invoice of the whole price lists each deposit invoice that
holds as a line below nothing in the same tax category and rate; so the invoices of a commission add up to
its price, and money received for a deposit is counted once.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.invoice import Amount, Invoice, Sums, invoice_sums
from calcs.rounding import places
from jobs.balance import balance
from jobs.commands.commissions import UNIT_CODES
from jobs.models import Commission, Paper
from jobs.pricing import price_of

CENT = Decimal("0.01")
FARTHEST = 100
"""Cents a deposit may move so that its tax and the tax of the rest add up to the tax of the whole."""


def deposits_of(commission: Commission) -> list[Paper]:
    """The deposit invoices that hold, oldest first."""
    held = commission.papers.filter(kind=Paper.Kind.INVOICE, what=Paper.DEPOSIT, withdrawn_at=None)
    return list(held.select_related("invoice").order_by("id"))


def free_money(commission: Commission) -> Decimal:
    """What was received and is not asked for by an invoice that holds."""
    sums = balance(commission)
    return max(sums.received - (sums.invoiced or 0), Decimal("0.00"))


def price_sums(commission: Commission) -> Sums:
    """The sums of the price, before any deposit; there is one."""
    return price_of(list(commission.price_lines.order_by("position"))).sums


def lines_off(deposits: Sequence[Paper]) -> list[dict[str, Any]]:
    """The lines that take deposit invoices off, one for each of their tax rates."""
    return [
        _line(
            f"Less deposit invoice {paper.number}",
            -Decimal(tax["taxable"]), tax["category"], Decimal(tax["rate_pct"]),
        )
        for paper in deposits
        for tax in paper.invoice.totals
    ]  # fmt: skip


def lines_of_deposit(sums: Sums, pct: Decimal, *, is_first: bool) -> list[dict[str, Any]]:
    """So much of the price, a line for each tax rate; the first deposit leaves no cent of tax over."""
    several = len(sums.taxes) > 1
    lines = []
    for tax in sums.taxes:
        part = places(Fraction(tax.base) * Fraction(pct) / 100, 2)
        if is_first:
            part = _even(part, tax.base, tax.rate_pct)
        if part:
            rate = f", what is taxed at {tax.rate_pct.normalize():f} %" if several else ""
            words = f"Deposit, {pct.normalize():f} % of the agreed price{rate}"
            lines.append(_line(words, part, tax.category, tax.rate_pct))
    return lines


def deposit_of(sums: Sums, pct: Decimal) -> Decimal:
    """What the first deposit invoice of such a price asks, with its tax: quotes name it to the cent."""
    lines = lines_of_deposit(sums, pct, is_first=True)
    return sums_of(lines, paid=Decimal(0)).gross if lines else Decimal("0.00")


def _even(part: Decimal, whole: Decimal, rate_pct: Decimal) -> Decimal:
    """The part nearest to this one whose tax and the tax of the rest add up to the tax of the whole."""

    def tax(base: Decimal) -> Decimal:
        return places(Fraction(base) * Fraction(rate_pct) / 100, 2)

    steps = sorted(range(-FARTHEST, FARTHEST + 1), key=lambda n: (abs(n), n))
    near = (part + n * CENT for n in steps)
    return next((p for p in near if tax(p) + tax(whole - p) == tax(whole) and abs(p) <= abs(whole)), part)


def _line(words: str, amount: Decimal, category: str, rate_pct: Decimal) -> dict[str, Any]:
    """One line; what is taken off is counted below nothing, as a price never is (BR-27)."""
    return {
        "description": words,
        "quantity": Decimal(1) if amount >= 0 else Decimal(-1),
        "unit_code": "C62",
        "unit": UNIT_CODES["C62"],
        "unit_price": abs(amount),
        "tax_category": category,
        "tax_pct": rate_pct,
        "amount": amount,
    }


def sums_of(lines: Sequence[dict[str, Any]], *, paid: Decimal) -> Sums:
    """The sums of lines as they stand on a paper."""
    priced = tuple(
        Amount(net=line["amount"], category=line["tax_category"], rate_pct=line["tax_pct"]) for line in lines
    )
    return invoice_sums(Invoice(lines=priced, paid=paid))


def sums_of_lines(lines: Sequence[Any]) -> Sums:
    """The sums of lines of a price, stored or not."""
    return price_of(list(lines)).sums
