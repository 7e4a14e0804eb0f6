"""The price of a commission: its lines, and their sums with tax by rate."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.rounding import places
from calcs.money.invoice import Amount, Invoice, Sums, invoice_sums, line_net, with_taxes
from calcs.money.tax_inside import nets_inside, tax_inside
from jobs.core.errors import Invalid
from jobs.domain import lookups
from jobs.domain.billing.taxes import (
    TAX_CATEGORIES,
    ZERO,
    Rate,
    certificate_of,
    certificate_trouble,
    exempt_on,
    refuse_lacking,
    trouble_at_issue,
)
from jobs.domain.checks import in_range, refuse_if_ended
from jobs.domain.lifecycle import refuse_if_invoiced
from jobs.domain.papers.letterhead import currency_for_price
from jobs.domain.settings import settings, tax_name
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import Texts, refs_of, store_private_text
from jobs.models import Commission, OfferLine, PriceLine

LONGEST_DESCRIPTION, MOST_LINES = 4000, 200
FINEST = 8  # decimals of a unit price that give the amount again: a quantity is at most 10000
UNIT_CODES = {"C62": "piece", "HUR": "hour", "FTK": "square foot", "BFT": "board foot", "LS": "lump sum"}
"""Units of a price line, by UN/ECE Recommendation 20 codes."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of a price: description, quantity and unit price, before tax unless ``with_tax``."""

    description: str
    unit_price: Decimal
    quantity: Decimal = Decimal(1)
    unit_code: str = "C62"
    tax_category: str = "S"
    tax_pct: Decimal = Decimal(0)
    with_tax: bool = False


Priced = PriceLine | OfferLine | Line


@dataclass(frozen=True, kw_only=True)
class Price:
    """The amount of each line in order, before tax and as typed, and the sums."""

    amounts: list[Decimal]
    typed: list[Decimal]
    sums: Sums


def price_of(lines: Sequence[Priced], *, paid: Decimal = Decimal(0), after: Sequence[Priced] = ()) -> Price:
    """Add up at least one line; what was paid reduces the amount due.

    Prices typed with their tax are kept: base and tax of a rate add up to them (`calcs.money.tax_inside`).
    ``after`` is the price that these lines change: their tax is what it then grows by.
    """
    typed = [line_net(quantity=line.quantity, unit_price=line.unit_price) for line in lines]
    before, then = _taxes(after), _taxes([*after, *lines])
    taxes = {_rate(line): then[_rate(line)] - before.get(_rate(line), ZERO) for line in lines}
    amounts = list(typed)
    for rate, tax in taxes.items():
        inside = [n for n, line in enumerate(lines) if line.with_tax and _rate(line) == rate]
        grosses = [typed[n] for n in inside]
        if inside:
            nets = nets_inside(grosses, rate_pct=rate[1], base=sum(grosses, ZERO) - tax)
            amounts = [nets[inside.index(n)] if n in inside else net for n, net in enumerate(amounts)]
    priced = [
        Amount(net=amount, category=line.tax_category, rate_pct=line.tax_pct)
        for amount, line in zip(amounts, lines, strict=True)
    ]
    sums = with_taxes(invoice_sums(Invoice(lines=tuple(priced), paid=paid)), taxes)
    return Price(amounts=amounts, typed=typed, sums=sums)


def _rate(line: Priced) -> Rate:
    return line.tax_category, line.tax_pct


def _taxes(lines: Sequence[Priced]) -> dict[Rate, Decimal]:
    """Return the tax of each rate, inside the prices or on top of them as they were typed."""
    sums: dict[tuple[Rate, bool], Decimal] = {}
    for line in lines:
        key = _rate(line), line.with_tax
        amount = line_net(quantity=line.quantity, unit_price=line.unit_price)
        sums[key] = sums.get(key, ZERO) + amount
    taxes: dict[Rate, Decimal] = {}
    for (rate, with_tax), amount in sums.items():
        on_top = places(Fraction(amount) * Fraction(rate[1]) / 100, 2)
        tax = tax_inside(gross=amount, rate_pct=rate[1]) if with_tax else on_top
        taxes[rate] = taxes.get(rate, ZERO) + tax
    return taxes


@dataclass(frozen=True, kw_only=True)
class UsualTax:
    """The tax of a new line: category, rate [%], and whether prices are typed with it.

    ``trouble`` says where a certificate of the client does not hold.
    """

    tax_category: str
    tax_pct: Decimal
    with_tax: bool
    trouble: str = ""

    def typed(self, net: Decimal) -> Decimal:
        """Return a calculated price before tax as it is typed, to the cent."""
        return places(Fraction(net) * (1 + Fraction(self.tax_pct) / 100), 2) if self.with_tax else net

    def line(self) -> dict[str, Any]:
        """Return what a ``Line`` takes of it."""
        return {"tax_category": self.tax_category, "tax_pct": self.tax_pct, "with_tax": self.with_tax}


def usual_tax(commission: Commission, day: date) -> UsualTax:
    """Return the tax of a new line of an order: none while the client's certificate holds."""
    client = certificate_of(commission.client)
    exempt = exempt_on(client, day)
    category, rate = ("E", Decimal(0)) if exempt else ("S", Decimal(settings()["tax_pct"]))
    trouble = certificate_trouble(client, [category], day, tax_name())
    inside = is_with_tax(commission)
    return UsualTax(tax_category=category, tax_pct=rate, with_tax=inside, trouble=trouble)


def is_with_tax(commission: Commission) -> bool:
    """Return whether prices are typed with their tax: as the order's price is, else as the shop sets it."""
    lines = lookups.price_lines(commission)
    return lines[0].with_tax if lines else settings()["prices_include_tax"] == "yes"


def refuse_mixed(lines: Sequence[Priced], *, after: Sequence[Priced] = ()) -> None:
    """Refuse prices of which some hold their tax and others do not. Called by other commands."""
    first = next(iter((*after, *lines)), None)
    for n, line in enumerate(lines):
        if first is not None and line.with_tax != first.with_tax:
            says = "prices of one order are typed all with tax, or all before it"
            allowed = "true" if first.with_tax else "false"
            raise Invalid(says, field=f"lines/{n}/with_tax", value=line.with_tax, allowed=allowed)


def agreed_price(commission: Commission, lines: Sequence[PriceLine]) -> Decimal | None:
    """Return the price with tax; None before a price is set and for a declined or cancelled commission.

    ``lines`` are those of its price.
    """
    if commission.step in (Commission.Step.DECLINED, Commission.Step.CANCELLED):
        return None
    return price_of(lines).sums.gross if lines else None


def line_of(line: PriceLine | OfferLine, texts: Texts) -> Line:
    """Return a stored line as a ``Line``."""
    return Line(
        description=texts[line.description_ref],
        quantity=line.quantity,
        unit_code=line.unit_code,
        unit_price=line.unit_price,
        tax_category=line.tax_category,
        tax_pct=line.tax_pct,
        with_tax=line.with_tax,
    )


def line_views(
    lines: Sequence[PriceLine | OfferLine], price: Price, texts: Texts | None = None
) -> list[dict[str, Any]]:
    """Return the lines of a price in words and figures, for screens and papers."""
    texts = texts or Texts(refs_of(lines))
    return views_of([line_of(line, texts) for line in lines], price)


def views_of(lines: Sequence[Line], price: Price) -> list[dict[str, Any]]:
    """Return these lines in words and figures: before tax, and beside that as they were typed."""
    return [
        {
            "description": line.description,
            "quantity": line.quantity,
            "unit_code": line.unit_code,
            "unit": UNIT_CODES[line.unit_code],
            "unit_price": _unit_price(line, amount),
            "tax_category": line.tax_category,
            "tax_pct": line.tax_pct,
            "amount": amount,
            "with_tax": line.with_tax,
            "typed_price": line.unit_price,
            "typed_amount": typed,
        }
        for line, amount, typed in zip(lines, price.amounts, price.typed, strict=True)
    ]


def _unit_price(line: Line, amount: Decimal) -> Decimal:
    """Return the unit price before tax: with as few decimals as give the amount of the line again."""
    if not line.with_tax:
        return line.unit_price
    exact = Fraction(amount) / Fraction(line.quantity)
    tried = (places(exact, count) for count in range(2, FINEST + 1))
    return next(price for price in tried if line_net(quantity=line.quantity, unit_price=price) == amount)


@command
def set_price(tx: CommandTransaction, *, commission: str, lines: Sequence[Line]) -> None:
    """Set the price that the client pays, line by line; it replaces the earlier lines."""
    tx.require_owner("the price")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    refuse_if_ended(found)
    put_price(tx, found, lines)
    warn_of_certificate(tx, found, lines)


def price_trouble(commission: Commission, day: date) -> str:
    """Return a warning where the client's certificate does not hold for the price on a day."""
    return _trouble(commission, lookups.price_lines(commission), day)


def warn_of_certificate(tx: CommandTransaction, commission: Commission, lines: Sequence[Line]) -> None:
    """Note where the client's certificate does not hold today. Called by other commands."""
    if trouble := _trouble(commission, lines, tx.call.day):
        tx.notices.append(trouble)


def check_taxes(tx: CommandTransaction, head: Mapping[str, Any], lines: Sequence[Mapping[str, Any]]) -> None:
    """Refuse taxes that a paper cannot be issued with, and note what else is amiss. Called by commands."""
    refuse_lacking(head, lines)
    if trouble := trouble_at_issue(head, lines, tx.call.day):
        tx.notices.append(trouble)


def _trouble(commission: Commission, lines: Sequence[Priced], day: date) -> str:
    categories = [line.tax_category for line in lines]
    return certificate_trouble(certificate_of(commission.client), categories, day, tax_name())


def put_price(tx: CommandTransaction, commission: Commission, lines: Sequence[Line]) -> None:
    """Append a price, unless the invoice of the whole rests on the present one. Called by other commands."""
    refuse_if_invoiced(commission, [one for one in lookups.invoices(commission) if not one.paper.what])
    in_range(len(lines), 1, MOST_LINES, "a price needs lines", field="lines")
    refuse_mixed(lines)
    tx.append(
        "price_set",
        f"commission:{commission.number}",
        {
            "number": commission.number,
            "currency": currency_for_price(commission),
            "lines": [kept_line(n, line) for n, line in enumerate(lines)],
        },
    )


def kept_line(n: int, line: Line) -> dict[str, Any]:
    """Check a line and return it as an event stores it. Called by other commands."""

    def check(name: str, held: bool, allowed: str) -> None:
        if not held:
            says, value = f"line {n + 1}: {name} is not usable", getattr(line, name)
            raise Invalid(says, field=f"lines/{n}/{name}", value=value, allowed=allowed)

    check("description", bool(line.description.strip()), "a description")
    for name in ("quantity", "unit_price", "tax_pct"):
        check(name, getattr(line, name).is_finite(), "a number")
    check("quantity", -10_000 <= line.quantity <= 10_000 and line.quantity != 0, "-10000 to 10000, not 0")
    check("unit_price", 0 <= line.unit_price <= 10_000_000, "0 to 10000000; a return has a negative quantity")
    check("unit_code", line.unit_code in UNIT_CODES, ", ".join(UNIT_CODES))
    check("tax_category", line.tax_category in TAX_CATEGORIES, ", ".join(TAX_CATEGORIES))
    check("tax_pct", 0 <= line.tax_pct <= 100, "0 to 100")
    check("tax_pct", line.tax_category == "S" or line.tax_pct == 0, "0 where the category is not S")
    for name, most in (("quantity", 3), ("unit_price", 4), ("tax_pct", 3)):
        exponent = getattr(line, name).as_tuple().exponent
        check(name, isinstance(exponent, int) and -exponent <= most, f"up to {most} decimals")
    return {
        **{f: getattr(line, f) for f in ("quantity", "unit_code", "unit_price", "tax_category", "tax_pct")},
        **({"with_tax": True} if line.with_tax else {}),
        "description": store_private_text(
            line.description, field=f"lines/{n}/description", longest=LONGEST_DESCRIPTION
        ),
    }
