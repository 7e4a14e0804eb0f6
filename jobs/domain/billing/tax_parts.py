"""Base and tax by category and rate: of an invoice, of what is left of one, of a deposit, of a credit."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from jobs.models import Invoice

ZERO = Decimal("0.00")
Rate = tuple[str, Decimal]
"""Tax category and rate [%]."""


@dataclass(frozen=True, kw_only=True)
class Part:
    """A part of a price at one tax rate: base and tax [currency]."""

    base: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.base + self.tax


NOTHING = Part(base=ZERO, tax=ZERO)
Parts = dict[Rate, Part]


def parts_of(document: Invoice) -> Parts:
    """Return base and tax of an invoice or a credit note by rate."""
    return {
        (tax["category"], Decimal(tax["rate_pct"])): Part(
            base=Decimal(tax["taxable"]), tax=Decimal(tax["tax"])
        )
        for tax in document.totals
    }


def less(parts: Mapping[Rate, Part], *others: Mapping[Rate, Part]) -> Parts:
    """Return parts less others; a rate that only the others have becomes negative."""
    left = dict(parts)
    for other in others:
        for rate, part in other.items():
            before = left.get(rate, NOTHING)
            left[rate] = Part(base=before.base - part.base, tax=before.tax - part.tax)
    return left


def gross_of(parts: Mapping[Rate, Part]) -> Decimal:
    return sum((part.gross for part in parts.values()), ZERO)
