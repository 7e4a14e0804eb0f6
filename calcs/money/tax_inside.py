"""Prices with the tax inside: how much of them is tax, and what each line comes to before it.

The typed prices hold: base and tax of a rate add up to them to the cent. The tax is worked out once on the
sum of a rate, by the fraction rate / (100 + rate), and rounded half up. The base is the rest. It is spread
over the lines so that each is its price / (1 + rate) to less than a cent. Some sums have no base whose tax,
rounded, adds up to them. There the tax is a cent off base x rate, which the check of BR-CO-17 allows.

References
----------
.. [1] HM Revenue & Customs, VAT guide (VAT Notice 700), VAT fraction.
.. [2] CEN/TC 434, validation artefacts for EN 16931, v1.3.16, 2026, rules BR-CO-10, BR-S-08, BR-CO-17.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import floor

from calcs.kit.rounding import places
from calcs.kit.validators import decimal

CENT = Decimal("0.01")
_MOST = "1000000000"


def tax_inside(*, gross: Decimal, rate_pct: Decimal) -> Decimal:
    """Return the tax that a price holds [currency], to 0.01, half up.

    Parameters
    ----------
    gross : Decimal
        Sum of prices with their tax [currency].
    rate_pct : Decimal
        Tax rate, 0 to 100 [%].

    Raises
    ------
    Unreadable, OutOfRange

    Notes
    -----
    Tax = gross x rate / (100 + rate), rounded once.

    Examples
    --------
    A sixth at 20 %, the VAT fraction of [1]_.

    >>> tax_inside(gross=Decimal("120.00"), rate_pct=Decimal(20))
    Decimal('20.00')
    """
    decimal(gross, "gross", least=f"-{_MOST}", most=_MOST)
    decimal(rate_pct, "rate_pct", least="0", most="100")
    return places(Fraction(gross) * Fraction(rate_pct) / (100 + Fraction(rate_pct)), 2)


def nets_inside(grosses: Sequence[Decimal], *, rate_pct: Decimal, base: Decimal) -> list[Decimal]:
    """Return the net amounts of lines of one rate, which add up to the base [currency].

    Parameters
    ----------
    grosses : sequence of Decimal
        Amounts of the lines with their tax [currency, two decimals].
    rate_pct : Decimal
        Tax rate, 0 to 100 [%].
    base : Decimal
        Sum of the lines less the tax in it [currency, two decimals].

    Notes
    -----
    Each amount is gross / (1 + rate) cut to the cent. The cents that the base still has go to the lines that
    lost most. What is left beyond one cent a line goes to the largest line.

    Examples
    --------
    3 x 10.00 at 19 % hold 4.79 of tax and have a base of 25.21: one line takes the odd cent.

    >>> nets_inside([Decimal("10.00")] * 3, rate_pct=Decimal(19), base=Decimal("25.21"))
    [Decimal('8.41'), Decimal('8.40'), Decimal('8.40')]
    """
    exact = [Fraction(gross) * 100 / (1 + Fraction(rate_pct) / 100) for gross in grosses]
    cents = [floor(one) for one in exact]
    left = int(base / CENT) - sum(cents)
    most_lost = sorted(range(len(exact)), key=lambda n: cents[n] - exact[n])
    for n in most_lost[: max(left, 0)]:
        cents[n] += 1
        left -= 1
    if left:
        cents[max(range(len(exact)), key=lambda n: abs(exact[n]))] += left
    return [Decimal(one).scaleb(-2) for one in cents]
