"""Price of a piece from materials, hours, overhead and profit, every line explained.

Money is Decimal, each line rounded half up to 0.01. Sums add rounded lines, so that they can be added by
hand.

References
----------
.. [1] Markup is profit over cost, margin profit over price: accounting textbooks (public pages, read).
.. [2] EN 16931 for the tax, see `calcs.money.invoice`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import half_up, places, up
from calcs.money.costing_inputs import MATERIALS, Costing
from calcs.money.invoice import Amount, Invoice, invoice_sums, line_net

SOURCE = (
    "markup is profit over cost, margin profit over price: accounting textbooks (public pages, read)",
    "each line rounded half up to 0.01, tax by EN 16931",
    "overhead, deposit and the step of rounding: common practice, no source",
)


@dataclass(frozen=True, kw_only=True)
class CostLine:
    """One line of the price: quantity x unit price = amount.

    Attributes
    ----------
    what : str
        Its name.
    quantity, unit, unit_price : Decimal, str, Decimal
        Quantity, its unit, and price of one [the shop's currency].
    amount : Decimal
        Amount, to 0.01 [the shop's currency].
    why : str
        Why it is there.
    """

    what: Annotated[str, Figure("What")]
    quantity: Annotated[Decimal, Figure("How many")]
    unit: Annotated[str, Figure("Unit")]
    unit_price: Annotated[Decimal, Figure("Unit price", money=True)]
    amount: Annotated[Decimal, Figure("Amount", money=True)]
    why: Annotated[str, Figure("Why")]


@dataclass(frozen=True, kw_only=True)
class Price:
    """Price and all it is made of [the shop's currency, two decimals].

    Attributes
    ----------
    materials, labour, overhead : Decimal
        Parts of the cost.
    hours : Decimal
        Hours of all stages [h].
    cost, profit, price : Decimal
        Materials, labour and overhead; what the rounded price leaves over it; price without tax.
    markup_pct, margin_pct : Decimal or None
        Profit over cost and over price, to 0.1 [%]; None where there is nothing to divide by.
    tax, gross : Decimal or None
        Tax and price with it; None where no tax was given.
    deposit : Decimal
        Deposit on the price, tax included where it is known.
    lines : tuple of CostLine
        Every line.
    notes, source : tuple of str
        Kinds of material without a line, and sources.
    """

    materials: Annotated[Decimal, Figure("Materials", money=True)]
    labour: Annotated[Decimal, Figure("Labor", money=True)]
    hours: Annotated[Decimal, Figure("Hours")]
    overhead: Annotated[Decimal, Figure("Overhead", money=True)]
    cost: Annotated[Decimal, Figure("Cost", money=True)]
    profit: Annotated[Decimal, Figure("Profit", money=True)]
    price: Annotated[Decimal, Figure("Price", money=True)]
    markup_pct: Annotated[Decimal | None, Figure("Markup")]
    margin_pct: Annotated[Decimal | None, Figure("Margin")]
    tax: Annotated[Decimal | None, Figure("Tax", money=True)]
    gross: Annotated[Decimal | None, Figure("With tax", money=True)]
    deposit: Annotated[Decimal, Figure("Deposit", money=True)]
    lines: Annotated[tuple[CostLine, ...], Figure("Line by line")]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def costing(asked: Costing) -> Price:
    """Return a price added up from materials, hours, overhead and profit.

    Parameters
    ----------
    asked : Costing
        Lines, rates [the shop's currency] and percentages [%].

    Returns
    -------
    Price

    Notes
    -----
    Cost = materials + labour + overhead. As a markup, price = cost (1 + m); as a margin, price = cost / (1 -
    m). The price is then rounded to its step, and profit is what the rounded price leaves.
    Every line is rounded half up to 0.01 and the sums add rounded lines.

    References
    ----------
    .. [1] Markup = (price - cost) / cost, margin = (price - cost) / price; for instance AccountingCoach,
       "What is the difference between gross margin and markup?": bought at 8 and sold at 10, 25 % and 20 %.
    .. [2] Overhead, deposit and the step of rounding: common practice, no source.

    Examples
    --------
    >>> from calcs.money.costing_inputs import Material
    >>> bought = Material(kind="other", quantity=Decimal(1), unit="piece", unit_price=Decimal(8))
    >>> costing(Costing(materials=(bought,), profit_pct=Decimal(20), profit_as="margin")).price
    Decimal('10.00')
    """
    bought, worked = tuple(_materials(asked)), tuple(_labour(asked))
    materials, labour = _sum(bought), _sum(worked)
    overhead = _overhead(asked, materials, labour)
    cost = materials + labour + overhead.amount
    profit = _profit(asked, cost)
    price = _rounded(cost + profit.amount, asked)
    rounding = price - cost - profit.amount
    extra = [line for line in (overhead, profit, _rounding(asked, rounding)) if line.amount]
    tax = None if asked.tax_pct is None else _tax(price, asked.tax_pct)
    gross = None if tax is None else price + tax
    return Price(
        materials=materials,
        labour=labour,
        hours=sum((each.hours for each in asked.labour), Decimal(0)),
        overhead=overhead.amount,
        cost=cost,
        profit=price - cost,
        price=price,
        markup_pct=_percent(price - cost, cost),
        margin_pct=_percent(price - cost, price),
        tax=tax,
        gross=gross,
        deposit=_part(price if gross is None else gross, asked.deposit_pct),
        lines=(*bought, *worked, *extra),
        notes=_notes(asked),
        source=SOURCE,
    )


def _materials(asked: Costing) -> Iterator[CostLine]:
    """Yield a line for each material."""
    for each in asked.materials:
        yield _line(
            each.what or each.kind, each.quantity, each.unit, each.unit_price, f"material: {each.kind}"
        )


def _labour(asked: Costing) -> Iterator[CostLine]:
    """Yield a line for each stage, at its rate or the shop's."""
    for each in asked.labour:
        rate = asked.rate if each.rate is None else each.rate
        assert rate is not None
        why = "hours at the shop's rate" if each.rate is None else "hours at a rate of their own"
        yield _line(each.stage, each.hours, "h", rate, why)


def _line(what: str, quantity: Decimal, unit: str, unit_price: Decimal, why: str) -> CostLine:
    """Return one line, its amount rounded half up to 0.01."""
    return CostLine(
        what=what,
        quantity=quantity,
        unit=unit,
        unit_price=unit_price,
        amount=line_net(quantity=quantity, unit_price=unit_price),
        why=why,
    )


def _overhead(asked: Costing, materials: Decimal, labour: Decimal) -> CostLine:
    """Return the line of overhead.

    Notes
    -----
    Base x percentage, with labour, or materials and labour, as the base.
    """
    base = labour if asked.overhead_on == "labour" else materials + labour
    return CostLine(
        what="overhead",
        quantity=asked.overhead_pct,
        unit=f"% of {asked.overhead_on}",
        unit_price=base / 100,
        amount=_part(base, asked.overhead_pct),
        why="rent, machines, insurance, hours nobody pays",
    )


def _profit(asked: Costing, cost: Decimal) -> CostLine:
    """Return the line of profit.

    Notes
    -----
    Markup: cost x m. Margin: cost x m / (1 - m), the same share of the price.
    """
    percent = Fraction(asked.profit_pct)
    if asked.profit_as == "margin":
        amount = places(Fraction(cost) * percent / (100 - percent), 2)
        base, unit, why = cost + amount, "% of the price", "profit as a margin: price = cost / (1 - margin)"
    else:
        amount = _part(cost, asked.profit_pct)
        base, unit, why = cost, "% of the cost", "profit as a markup: price = cost x (1 + markup)"
    return CostLine(
        what=asked.profit_as,
        quantity=asked.profit_pct,
        unit=unit,
        unit_price=base / 100,
        amount=amount,
        why=why,
    )


def _rounding(asked: Costing, amount: Decimal) -> CostLine:
    """Return the line by which rounding changes the price."""
    way = "up" if asked.rounding == "up" else "to the nearest"
    why = f"price rounded {way} {asked.round_to}"
    return CostLine(what="rounding", quantity=Decimal(1), unit="", unit_price=amount, amount=amount, why=why)


def _rounded(price: Decimal, asked: Costing) -> Decimal:
    """Return a price rounded to its step, up or to the nearest; a half goes up.

    Notes
    -----
    Steps = price / step as an exact fraction, rounded, times the step.
    """
    steps = Fraction(price) / Fraction(asked.round_to)
    return places((up(steps) if asked.rounding == "up" else half_up(steps)) * asked.round_to, 2)


def _tax(price: Decimal, percent: Decimal) -> Decimal:
    """Return the tax on a price at one rate, by the rules of EN 16931."""
    return invoice_sums(Invoice(lines=(Amount(net=price, rate_pct=percent),))).tax


def _part(base: Decimal, percent: Decimal) -> Decimal:
    """Return a percentage of a sum, to 0.01."""
    return places(Fraction(base) * Fraction(percent) / 100, 2)


def _percent(part: Decimal, whole: Decimal) -> Decimal | None:
    """Return a part as a percentage of a whole, to 0.1; None for a whole of zero."""
    return places(Fraction(part) * 100 / Fraction(whole), 1) if whole else None


def _sum(lines: tuple[CostLine, ...]) -> Decimal:
    """Return the sum of the amounts of lines."""
    return sum((line.amount for line in lines), Decimal("0.00"))


def _notes(asked: Costing) -> tuple[str, ...]:
    """Return notes on tax and on kinds of material without a line."""
    tax = "tax is not in the price: the invoice adds what is due" if asked.tax_pct is None else ""
    kinds = {each.kind for each in asked.materials}
    missing = [kind for kind in MATERIALS[:-1] if kind not in kinds]
    left_out = f"no line for: {', '.join(missing)}" if asked.materials and missing else ""
    return tuple(filter(None, (tax, left_out)))
