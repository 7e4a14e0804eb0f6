"""Sums of an invoice, by the rules of EN 16931: round each line, add, tax once per category and rate.

Money is Decimal with two places; a half goes away from zero.

References
----------
.. [1] CEN/TC 434, validation artefacts for EN 16931, v1.3.16, 2026, rules BR-CO-10 to BR-CO-17.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.kit.validators import decimal, one_of, whole

CATEGORIES = ("S", "Z", "E", "AE", "K", "G", "O")
"""Standard, zero, exempt, reverse charge, intra-Community, export, outside scope: UNCL5305 in EN 16931."""
MOST_LINES = 1000
SOURCE = (
    "EN 16931 rules BR-CO-10 to BR-CO-17 as in the CEN/TC 434 validation artefacts v1.3.16 (2026); half up",
)
_MOST = "1000000000"


@dataclass(frozen=True, kw_only=True)
class Amount:
    """A line, allowance or charge.

    Parameters
    ----------
    net : Decimal
        Net amount [currency, two decimals].
    category : {"S", "Z", "E", "AE", "K", "G", "O"}
        Tax category: standard, zero, exempt, reverse charge, intra-Community supply, export, outside scope
        (code list UNCL5305).
    rate_pct : Decimal
        Tax rate, 0 to 100 [%].

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where a category other than S carries a rate.
    """

    net: Decimal
    category: str = "S"
    rate_pct: Decimal

    def __post_init__(self) -> None:
        decimal(self.net, "net", least=f"-{_MOST}", most=_MOST)
        _check_cents(self.net, "net")
        one_of(self.category, "category", CATEGORIES)
        decimal(self.rate_pct, "rate_pct", least="0", most="100")
        if self.category != "S" and self.rate_pct != 0:
            raise OutOfRange(
                f"rate_pct {self.rate_pct} is out of range: 0 for category {self.category}",
                field="rate_pct",
                value=self.rate_pct,
                allowed="0",
            )


@dataclass(frozen=True, kw_only=True)
class Invoice:
    """Lines of an invoice, with allowances and charges on the whole.

    Parameters
    ----------
    lines : tuple of Amount
        One to 1000 lines.
    allowances, charges : tuple of Amount
        On the whole invoice; never negative.
    paid : Decimal
        Paid already, such as deposits [currency].
    rounding : Decimal
        Rounding of the sum due, -1 to 1 [currency].

    Raises
    ------
    Unreadable, OutOfRange
    """

    lines: tuple[Amount, ...]
    allowances: tuple[Amount, ...] = ()
    charges: tuple[Amount, ...] = ()
    paid: Decimal = Decimal("0.00")
    rounding: Decimal = Decimal("0.00")

    def __post_init__(self) -> None:
        whole(len(self.lines), "lines", least=1, most=MOST_LINES)
        for name in ("allowances", "charges"):
            whole(len(getattr(self, name)), name, least=0, most=MOST_LINES)
            for amount in getattr(self, name):
                decimal(amount.net, name, least="0", most=_MOST)
        decimal(self.paid, "paid", least="0", most=_MOST)
        decimal(self.rounding, "rounding", least="-1", most="1")
        _check_cents(self.paid, "paid")
        _check_cents(self.rounding, "rounding")


@dataclass(frozen=True, kw_only=True)
class Tax:
    """Tax of one category and rate.

    Attributes
    ----------
    category : str
        Tax category.
    rate_pct : Decimal
        Rate [%].
    base, tax : Decimal
        Taxed base (BT-116) and tax (BT-117) [currency].
    """

    category: str
    rate_pct: Decimal
    base: Decimal
    tax: Decimal


@dataclass(frozen=True, kw_only=True)
class Sums:
    """Totals of an invoice [currency, two decimals], with the terms of EN 16931.

    Attributes
    ----------
    lines, allowances, charges : Decimal
        Sums of lines (BT-106), allowances (BT-107) and charges (BT-108).
    net, tax, gross : Decimal
        Total without tax (BT-109), tax (BT-110), total with tax (BT-112).
    taxes : tuple of Tax
        Tax by category and rate, highest rate first.
    paid, rounding, due : Decimal
        Paid (BT-113), rounding (BT-114), due (BT-115).
    source : tuple of str
        The standard.
    """

    lines: Decimal
    allowances: Decimal
    charges: Decimal
    net: Decimal
    taxes: tuple[Tax, ...]
    tax: Decimal
    gross: Decimal
    paid: Decimal
    rounding: Decimal
    due: Decimal
    source: tuple[str, ...]


def line_net(*, quantity: Decimal, unit_price: Decimal, per: Decimal = Decimal(1)) -> Decimal:
    """Return the net amount of a line [currency], to 0.01, half up.

    Parameters
    ----------
    quantity : Decimal
        Negative for goods taken back.
    unit_price : Decimal
        Price of ``per`` units [currency]; may carry more than two decimals, never negative (BR-27).
    per : Decimal
        Units that the price is for; 1 by default.

    Raises
    ------
    Unreadable, OutOfRange

    Notes
    -----
    Net = quantity x unit price / per, rounded once.

    Examples
    --------
    >>> line_net(quantity=Decimal(100), unit_price=Decimal("0.1212"))
    Decimal('12.12')
    """
    decimal(quantity, "quantity", least="-1000000", most="1000000")
    decimal(unit_price, "unit_price", least="0", most=_MOST)
    decimal(per, "per", least="0.0001", most="1000000")
    return places(Fraction(quantity) * Fraction(unit_price) / Fraction(per), 2)


def invoice_sums(invoice: Invoice) -> Sums:
    """Return the totals of an invoice.

    Parameters
    ----------
    invoice : Invoice
        Lines, allowances, charges, paid and rounding [currency].

    Returns
    -------
    Sums

    Notes
    -----
    Net = lines - allowances + charges; gross = net + tax; due = gross - paid + rounding.
    Tax is worked out once for each category and rate on its summed base, not line by line; a half goes
    away from zero. A deposit counts as paid and does not lower the taxed base.

    References
    ----------
    .. [1] CEN/TC 434, validation artefacts for EN 16931, v1.3.16, 2026, rules BR-CO-10 to BR-CO-17.

    Examples
    --------
    Two lines of 0.10 at 25 % are taxed on 0.20 together: 0.05, not 0.03 + 0.03.

    >>> ten = Amount(net=Decimal("0.10"), rate_pct=Decimal(25))
    >>> invoice_sums(Invoice(lines=(ten, ten))).tax
    Decimal('0.05')
    """
    lines, allowances, charges = (_sum(each) for each in (invoice.lines, invoice.allowances, invoice.charges))
    net = lines - allowances + charges
    taxes = _taxes(invoice)
    tax = sum((each.tax for each in taxes), Decimal("0.00"))
    return Sums(
        lines=lines,
        allowances=allowances,
        charges=charges,
        net=net,
        taxes=taxes,
        tax=tax,
        gross=net + tax,
        paid=places(invoice.paid, 2),
        rounding=places(invoice.rounding, 2),
        due=places(net + tax - invoice.paid + invoice.rounding, 2),
        source=SOURCE,
    )


def with_taxes(sums: Sums, taxes: Mapping[tuple[str, Decimal], Decimal]) -> Sums:
    """Return sums with these taxes in place of theirs, by category and rate.

    For prices with the tax inside, deposits and changes, where the tax of the whole is spread to the cent.
    """
    told = tuple(replace(tax, tax=taxes[tax.category, tax.rate_pct]) for tax in sums.taxes)
    tax = sum((one.tax for one in told), Decimal("0.00"))
    gross = sums.net + tax
    return replace(sums, taxes=told, tax=tax, gross=gross, due=gross - sums.paid + sums.rounding)


def _taxes(invoice: Invoice) -> tuple[Tax, ...]:
    """Return base and tax of each category and rate, highest rate first."""
    bases: dict[tuple[str, Decimal], Decimal] = {}
    signed = (
        *((amount, 1) for amount in invoice.lines),
        *((amount, -1) for amount in invoice.allowances),
        *((amount, 1) for amount in invoice.charges),
    )
    for amount, sign in signed:
        key = amount.category, amount.rate_pct
        bases[key] = bases.get(key, Decimal("0.00")) + sign * amount.net
    order = sorted(bases, key=lambda key: (-key[1], CATEGORIES.index(key[0])))
    return tuple(
        Tax(category=category, rate_pct=rate, base=base, tax=places(Fraction(base) * Fraction(rate) / 100, 2))
        for category, rate, base in ((*key, places(bases[key], 2)) for key in order)
    )


def _sum(amounts: tuple[Amount, ...]) -> Decimal:
    """Return the sum of net amounts, to 0.01."""
    return places(sum((amount.net for amount in amounts), Decimal("0.00")), 2)


def _check_cents(value: Decimal, name: str) -> None:
    """Refuse an amount with more than two decimals."""
    if value != places(value, 2):
        allowed = "at most two decimals"
        raise OutOfRange(
            f"{name} {value} is out of range: {allowed}", field=name, value=value, allowed=allowed
        )
