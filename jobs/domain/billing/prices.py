"""A price added up: each line, tax by rate, what is due."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.money.invoice import Amount, Invoice, Sums, invoice_sums, line_net
from jobs.domain.commissions.commissions import UNIT_CODES, Line
from jobs.log.private_texts import Texts, refs_of
from jobs.models import Commission, OfferLine, PriceLine


@dataclass(frozen=True, kw_only=True)
class Price:
    """The amount of each line, in their order, and the sums."""

    amounts: list[Decimal]
    sums: Sums


def price_of(lines: Sequence[PriceLine | OfferLine | Line], *, paid: Decimal = Decimal(0)) -> Price:
    """Add up at least one line, taking off what was paid."""
    amounts = [line_net(quantity=line.quantity, unit_price=line.unit_price) for line in lines]
    priced = [
        Amount(net=amount, category=line.tax_category, rate_pct=line.tax_pct)
        for amount, line in zip(amounts, lines, strict=True)
    ]
    return Price(amounts=amounts, sums=invoice_sums(Invoice(lines=tuple(priced), paid=paid)))


def agreed_price(commission: Commission, lines: Sequence[PriceLine] | None = None) -> Decimal | None:
    """What the client ordered costs with tax; None before a price is set and where nothing came of it."""
    if commission.step in (Commission.Step.DECLINED, Commission.Step.CANCELLED):
        return None
    lines = list(commission.price_lines.order_by("position")) if lines is None else lines
    return price_of(lines).sums.gross if lines else None


def line_of(line: PriceLine | OfferLine, texts: Texts) -> Line:
    """A stored line as one that can be set."""
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
    """The lines of a price in words and figures, as screens and papers show them."""
    texts = texts or Texts(refs_of(lines))
    return views_of([line_of(line, texts) for line in lines], price)


def views_of(lines: Sequence[Line], price: Price) -> list[dict[str, Any]]:
    """Lines that can be set, in words and figures."""
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
