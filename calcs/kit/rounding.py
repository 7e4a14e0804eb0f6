"""Rounding as the shop does it: a half goes up, away from zero for money and shown figures."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction


def half_up(value: Fraction) -> int:
    """Return the nearest whole number; a half goes up.

    Examples
    --------
    >>> half_up(Fraction(5, 2)), half_up(Fraction(-5, 2))
    (3, -2)
    """
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def up(value: Fraction) -> int:
    """Return the next whole number, or the same.

    Examples
    --------
    >>> up(Fraction(5, 2)), up(Fraction(2))
    (3, 2)
    """
    return -(-value.numerator // value.denominator)


def places(value: Decimal | Fraction | float, count: int) -> Decimal:
    """Return the value with ``count`` decimal places; a half goes away from zero.

    Examples
    --------
    >>> places(Fraction(1, 8), 2), places(Decimal("-365.125"), 2)
    (Decimal('0.13'), Decimal('-365.13'))
    """
    if isinstance(value, Fraction):
        scaled = half_up(abs(value) * 10**count)
        return Decimal(scaled if value >= 0 else -scaled).scaleb(-count)
    return Decimal(value).quantize(Decimal(1).scaleb(-count), ROUND_HALF_UP) + 0  # no minus zero
