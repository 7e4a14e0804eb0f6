"""The price of a commission: its lines, and their sums with tax by rate."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Amount, Invoice, Sums, invoice_sums, line_net
from jobs.core.errors import Invalid
from jobs.domain import lookups
from jobs.domain.billing.taxes import TAX_CATEGORIES
from jobs.domain.checks import in_range, refuse_if_ended
from jobs.domain.lifecycle import refuse_if_invoiced
from jobs.domain.papers.letterhead import currency_for_price
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import Texts, refs_of, store_private_text
from jobs.models import Commission, Offer, OfferLine, PriceLine

LONGEST_DESCRIPTION, MOST_LINES = 4000, 200
UNIT_CODES = {"C62": "piece", "HUR": "hour", "FTK": "square foot", "BFT": "board foot", "LS": "lump sum"}
"""Units of a price line, by UN/ECE Recommendation 20 codes."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of a price: description, quantity and unit price before tax."""

    description: str
    unit_price: Decimal
    quantity: Decimal = Decimal(1)
    unit_code: str = "C62"
    tax_category: str = "S"
    tax_pct: Decimal = Decimal(0)


@dataclass(frozen=True, kw_only=True)
class Price:
    """The amount of each line, in order, and the sums."""

    amounts: list[Decimal]
    sums: Sums


def price_of(lines: Sequence[PriceLine | OfferLine | Line], *, paid: Decimal = Decimal(0)) -> Price:
    """Add up at least one line; what was paid reduces the amount due."""
    amounts = [line_net(quantity=line.quantity, unit_price=line.unit_price) for line in lines]
    priced = [
        Amount(net=amount, category=line.tax_category, rate_pct=line.tax_pct)
        for amount, line in zip(amounts, lines, strict=True)
    ]
    return Price(amounts=amounts, sums=invoice_sums(Invoice(lines=tuple(priced), paid=paid)))


def agreed_price(commission: Commission) -> Decimal | None:
    """Return the price with tax; None before a price is set and for a declined or cancelled commission."""
    if commission.step in (Commission.Step.DECLINED, Commission.Step.CANCELLED):
        return None
    lines = lookups.price_lines(commission)
    return price_of(lines).sums.gross if lines else None


def changed_price(commission: Commission) -> Decimal:
    """Return what accepted change orders added to the agreed price, with tax: what it is less without them.

    A line of a change order that was taken out of the price by hand counts no more.
    """
    taken = [
        o for o in commission.offers.all() if o.kind == Offer.Kind.CHANGE and o.step == Offer.Step.ACCEPTED
    ]
    lines = lookups.price_lines(commission)
    if not taken or not lines:
        return Decimal("0.00")
    rest = list(lines)
    for added in OfferLine.objects.filter(offer__in=taken).order_by("-offer_id", "-position"):
        twin = next((n for n in reversed(range(len(rest))) if _is_twin(rest[n], added)), None)
        if twin is not None:
            del rest[twin]
    return price_of(lines).sums.gross - (price_of(rest).sums.gross if rest else Decimal("0.00"))


def _is_twin(line: PriceLine, added: OfferLine) -> bool:
    names = ("quantity", "unit_price", "unit_code", "tax_category", "tax_pct")
    return all(getattr(line, name) == getattr(added, name) for name in names)


def line_of(line: PriceLine | OfferLine, texts: Texts) -> Line:
    """Return a stored line as a ``Line``."""
    return Line(
        description=texts[line.description_ref],
        quantity=line.quantity,
        unit_code=line.unit_code,
        unit_price=line.unit_price,
        tax_category=line.tax_category,
        tax_pct=line.tax_pct,
    )


def line_views(
    lines: Sequence[PriceLine | OfferLine], price: Price, texts: Texts | None = None
) -> list[dict[str, Any]]:
    """Return the lines of a price in words and figures, for screens and papers."""
    texts = texts or Texts(refs_of(lines))
    return views_of([line_of(line, texts) for line in lines], price)


def views_of(lines: Sequence[Line], price: Price) -> list[dict[str, Any]]:
    """Return these lines with their amounts, in words and figures."""
    return [
        {
            "description": line.description,
            "quantity": line.quantity,
            "unit_code": line.unit_code,
            "unit": UNIT_CODES[line.unit_code],
            "unit_price": line.unit_price,
            "tax_category": line.tax_category,
            "tax_pct": line.tax_pct,
            "amount": amount,
        }
        for line, amount in zip(lines, price.amounts, strict=True)
    ]


@command
def set_price(tx: CommandTransaction, *, commission: str, lines: Sequence[Line]) -> None:
    """Set the price that the client pays, line by line; it replaces the earlier lines."""
    tx.require_owner("the price")
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {found.number}")
    refuse_if_ended(found)
    put_price(tx, found, lines)


def put_price(tx: CommandTransaction, commission: Commission, lines: Sequence[Line]) -> None:
    """Append a price, unless the invoice of the whole rests on the present one. Called by other commands."""
    refuse_if_invoiced(commission, [one for one in lookups.invoices(commission) if not one.paper.what])
    in_range(len(lines), 1, MOST_LINES, "a price needs lines", field="lines")
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
    for name, places in (("quantity", 3), ("unit_price", 4), ("tax_pct", 3)):
        exponent = getattr(line, name).as_tuple().exponent
        check(name, isinstance(exponent, int) and -exponent <= places, f"up to {places} decimals")
    return {
        **{f: getattr(line, f) for f in ("quantity", "unit_code", "unit_price", "tax_category", "tax_pct")},
        "description": store_private_text(
            line.description, field=f"lines/{n}/description", longest=LONGEST_DESCRIPTION
        ),
    }
