"""What a piece costs and what to ask for it, every line explained; decimals only, half up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

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
    """One line: quantity x unit price = amount [the shop's currency, two decimals], and why it is there."""

    what: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal
    why: str


@dataclass(frozen=True, kw_only=True)
class Price:
    """The price and all it is made of [the shop's currency, two decimals].

    ``cost`` is materials, labour and overhead; ``price`` is net; ``markup_pct`` and ``margin_pct`` are those
    that the rounded price leaves [%], to 0.1, None where nothing is there to divide by. ``tax`` and
    ``gross`` are None where no tax was told.
    """

    materials: Decimal
    labour: Decimal
    hours: Decimal
    overhead: Decimal
    cost: Decimal
    profit: Decimal
    price: Decimal
    markup_pct: Decimal | None
    margin_pct: Decimal | None
    tax: Decimal | None
    gross: Decimal | None
    deposit: Decimal
    lines: tuple[CostLine, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def costing(asked: Costing) -> Price:
    """Add up a price from materials, hours, overhead and profit.

    Returns
    -------
    Price

    Notes
    -----
    Every line is rounded half up to 0.01 and the sums add rounded lines, so that they can be added by hand.

    References
    ----------
    .. [1] Markup = (price - cost) / cost, margin = (price - cost) / price; for instance AccountingCoach,
       "What is the difference between gross margin and markup?": bought at 8 and sold at 10, 25 % and 20 %.

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
    for each in asked.materials:
        yield _line(
            each.what or each.kind, each.quantity, each.unit, each.unit_price, f"material: {each.kind}"
        )


def _labour(asked: Costing) -> Iterator[CostLine]:
    for each in asked.labour:
        rate = asked.rate if each.rate is None else each.rate
        assert rate is not None
        why = "hours at the shop's rate" if each.rate is None else "hours at a rate of their own"
        yield _line(each.stage, each.hours, "h", rate, why)


def _line(what: str, quantity: Decimal, unit: str, unit_price: Decimal, why: str) -> CostLine:
    return CostLine(
        what=what,
        quantity=quantity,
        unit=unit,
        unit_price=unit_price,
        amount=line_net(quantity=quantity, unit_price=unit_price),
        why=why,
    )


def _overhead(asked: Costing, materials: Decimal, labour: Decimal) -> CostLine:
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
    way = "up" if asked.rounding == "up" else "to the nearest"
    why = f"price rounded {way} {asked.round_to}"
    return CostLine(what="rounding", quantity=Decimal(1), unit="", unit_price=amount, amount=amount, why=why)


def _rounded(price: Decimal, asked: Costing) -> Decimal:
    steps = Fraction(price) / Fraction(asked.round_to)
    return places((up(steps) if asked.rounding == "up" else half_up(steps)) * asked.round_to, 2)


def _tax(price: Decimal, percent: Decimal) -> Decimal:
    return invoice_sums(Invoice(lines=(Amount(net=price, rate_pct=percent),))).tax


def _part(base: Decimal, percent: Decimal) -> Decimal:
    return places(Fraction(base) * Fraction(percent) / 100, 2)


def _percent(part: Decimal, whole: Decimal) -> Decimal | None:
    return places(Fraction(part) * 100 / Fraction(whole), 1) if whole else None


def _sum(lines: tuple[CostLine, ...]) -> Decimal:
    return sum((line.amount for line in lines), Decimal("0.00"))


def _notes(asked: Costing) -> tuple[str, ...]:
    tax = "tax is not in the price: the invoice adds what is due" if asked.tax_pct is None else ""
    kinds = {each.kind for each in asked.materials}
    missing = [kind for kind in MATERIALS[:-1] if kind not in kinds]
    left_out = f"no line for: {', '.join(missing)}" if asked.materials and missing else ""
    return tuple(filter(None, (tax, left_out)))
