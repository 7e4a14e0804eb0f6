"""Deposit invoices: a share asked beforehand, and how the invoice of the whole deducts it.

A deposit is a share of the price with its tax, rounded to the cent. Its invoice states base and tax of that
sum. The invoice of the whole lists each valid deposit invoice as a negative line. Its tax is the tax of the
price less the tax of the deposits. So the invoices of a commission add up to its price, its base and its tax.
A rounded cent can make the tax of an invoice differ from base times rate. The check of EN 16931 BR-CO-17
allows that.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.rounding import places
from calcs.money.invoice import Amount, Invoice, Sums, invoice_sums, with_taxes
from jobs.domain.billing.balances import account, accounts
from jobs.domain.billing.prices import UNIT_CODES, price_of
from jobs.domain.billing.taxes import ZERO, Part, Parts, Rate, gross_of, less
from jobs.domain.settings import settings, tax_name
from jobs.models import Commission, Offer, Paper

CENT = Decimal("0.01")
NBSP = "\u00a0"


@dataclass(frozen=True, kw_only=True)
class Deposit:
    """A valid deposit invoice, and what it asks for less its credit notes, by tax rate."""

    number: str
    parts: Parts


@dataclass(frozen=True, kw_only=True)
class Ask:
    """What a deposit asks for: a share of the price with its tax [%], or a sum with tax [currency]."""

    pct: Decimal = Decimal(0)
    amount: Decimal | None = None

    def __bool__(self) -> bool:
        return bool(self.pct if self.amount is None else self.amount)


def asked_by(offer: Offer) -> Ask:
    """Return the deposit that a version of a quote asks for."""
    return Ask(pct=offer.deposit_pct, amount=offer.deposit_sum)


def deposits_of(commission: Commission) -> list[Deposit]:
    """Return the valid deposit invoices, oldest first."""
    held = account(commission)
    return [
        Deposit(number=one.paper.number, parts=held.parts(one))
        for one in held.invoices
        if one.paper.what == Paper.DEPOSIT
    ]


def waiting_for_deposits(commissions: Collection[Commission]) -> list[str]:
    """Return the numbers of those orders whose deposit has not come; none where the shop does not wait."""
    if settings()["deposit_before_wood"] == "no":
        return []
    held = accounts(commissions)
    return sorted(one.number for one in commissions if held[one.id].deposit_open)


def deposit_asked(commission: Commission) -> Ask:
    """Return what the accepted quote asks for, else the newest one, else the shop's usual share."""
    quotes = [offer for offer in commission.offers.all() if offer.kind == Offer.Kind.QUOTE]
    found = max(quotes, key=lambda one: (one.step == Offer.Step.ACCEPTED, one.version), default=None)
    return asked_by(found) if found else _usual()


def usual_ask(commission: Commission) -> Ask:
    """Return what to ask by hand: what was quoted, or the shop's share where the quote asks none."""
    return deposit_asked(commission) or _usual()


def _usual() -> Ask:
    return Ask(pct=Decimal(settings()["deposit_pct"]))


def deposit_of(sums: Sums, ask: Ask) -> Decimal:
    """Return what is asked of a price with its tax: a share rounded half up to the cent, or the sum.

    A sum that the price has fallen below since is the whole price.
    """
    if ask.amount is not None:
        return min(ask.amount, sums.gross)
    return places(Fraction(sums.gross) * Fraction(ask.pct) / 100, 2)


def lines_off(deposits: Sequence[Deposit], currency: str) -> list[dict[str, Any]]:
    """Return the negative lines that deduct deposit invoices, one for each of their tax rates."""
    return [
        line_off(f"Less deposit invoice {deposit.number}", rate, part, currency)
        for deposit in deposits
        for rate, part in deposit.parts.items()
        if part.base or part.tax
    ]


def line_off(words: str, rate: Rate, part: Part, currency: str) -> dict[str, Any]:
    """Return the line that takes a part of another paper off, with a word on its tax."""
    with_tax = f"\nits {tax_name()} of {part.tax:,.2f} {currency} is taken off with it" if part.tax else ""
    return line_before_tax(f"{words}{with_tax}", Part(base=-part.base, tax=-part.tax), rate)


def rest_of(whole: Sums, deposits: Sequence[Deposit]) -> Parts:
    """Return what the deposits leave of a price: base and tax of each rate."""
    price = {(t.category, t.rate_pct): Part(base=t.base, tax=t.tax) for t in whole.taxes}
    return less(price, *(deposit.parts for deposit in deposits))


def deposit_parts(whole: Sums, deposits: Sequence[Deposit], ask: Ask) -> Parts:
    """Return a deposit as base and tax of each rate; the last deposit takes the whole rest.

    The rest may be one cent less than the share of the last deposit; a sum is never less.
    """
    asked, left = deposit_of(whole, ask), rest_of(whole, deposits)
    over = asked - gross_of(left)
    if over == 0 or (over == CENT and deposits and ask.amount is None):
        return left
    parts, before, upto = {}, ZERO, ZERO
    share_of = Fraction(ask.pct) / 100 if ask.amount is None else Fraction(asked) / Fraction(whole.gross)
    for tax in whole.taxes:
        upto += tax.base + tax.tax
        share = places(Fraction(upto) * share_of, 2) - before
        before += share
        base = places(Fraction(share) / (1 + Fraction(tax.rate_pct) / 100), 2)
        parts[tax.category, tax.rate_pct] = Part(base=base, tax=share - base)
    return parts


def lines_of_parts(parts: Parts, words: str) -> list[dict[str, Any]]:
    """Return a line before tax for each tax rate of a deposit or of a credited sum."""
    shown = {rate: part for rate, part in parts.items() if part.base or part.tax}
    named = {rate: f", taxed at {rate[1].normalize():f}{NBSP}%" if len(shown) > 1 else "" for rate in shown}
    return [line_before_tax(f"{words}{named[rate]}", part, rate) for rate, part in shown.items()]


def deposit_words(whole: Sums, ask: Ask, asked: Decimal, currency: str) -> str:
    """Return the description of a deposit: its share of the price, "the rest", or a sum that was agreed."""
    of = f"of the agreed {whole.gross:,.2f} {currency} with {tax_name()}: {asked:,.2f} {currency}"
    if asked != deposit_of(whole, ask):
        return f"Deposit, the rest {of}"
    return f"Deposit {of}" if ask.amount is not None else f"Deposit, {ask.pct.normalize():f} % {of}"


def line_before_tax(words: str, part: Part, rate: Rate) -> dict[str, Any]:
    """Return one line; a deduction has a negative quantity, because a price is never negative (BR-27).

    ``gross`` stands beside it for papers whose prices have their tax inside.
    """
    amount = part.base
    return {
        "description": words,
        "quantity": Decimal(1) if amount >= 0 else Decimal(-1),
        "unit_code": "C62",
        "unit": UNIT_CODES["C62"],
        "unit_price": abs(amount),
        "tax_category": rate[0],
        "tax_pct": rate[1],
        "amount": amount,
        "gross": part.gross,
    }


def sums_of(
    lines: Sequence[dict[str, Any]], *, paid: Decimal, taxes: Mapping[Rate, Part] | None = None
) -> Sums:
    """Return the sums of lines as they stand on a paper, with the taxes of these parts if given."""
    priced = tuple(
        Amount(net=line["amount"], category=line["tax_category"], rate_pct=line["tax_pct"]) for line in lines
    )
    sums = invoice_sums(Invoice(lines=priced, paid=paid))
    return sums if taxes is None else with_taxes(sums, {rate: part.tax for rate, part in taxes.items()})


def sums_of_lines(lines: Sequence[Any]) -> Sums:
    """Return the sums of price lines, stored or not."""
    return price_of(list(lines)).sums
