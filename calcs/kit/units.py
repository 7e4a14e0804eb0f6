"""Units of length: exact conversions, checks and writing.

A length is a whole number of 1/8 micrometre. So 1/64 in (3175) and 1 mm (8000) are both exact: the
international inch is 25.4 mm by definition [1]_. `calcs.kit.length_reading` reads lengths;
`calcs.kit.amounts` reads and writes the other quantities.

References
----------
.. [1] NIST, "Guide for the Use of the International System of Units (SI)", SP 811, 2008, appendix B.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from calcs.kit.amounts import (
    format_duration,
    format_temperature,
    parse_duration,
    parse_percent,
    parse_temperature,
)
from calcs.kit.errors import Unreadable
from calcs.kit.rounding import half_up
from calcs.kit.typed import out_of_range
from calcs.kit.validators import one_of, shown

__all__ = [
    "MOST_UNITS", "UNITS_PER_INCH", "UNITS_PER_MM",
    "both_units", "check_length", "format_about", "format_duration", "format_length",
    "format_temperature", "inches", "mm",
    "parse_duration", "parse_percent", "parse_temperature",
    "to_inches", "to_metres", "to_mm",
]  # fmt: skip

UNITS_PER_MM = 8000
UNITS_PER_INCH = 203200
MOST_UNITS = 2**53
SMALL = UNITS_PER_INCH // 64
_CONSTANT = re.compile(r"-?\d{1,20}(?:/[1-9]\d{0,20}|\.\d{1,20})?", re.ASCII)


def inches(value: int | str | Fraction | Decimal) -> int:
    """Return a length given in inches [1/8 µm]; exact, or refused.

    Parameters
    ----------
    value : int, str, Fraction or Decimal
        Length [in]; a text may be a fraction such as "13/32".

    Returns
    -------
    int
        Length [1/8 µm].

    Raises
    ------
    Unreadable
        If the value is no number.
    OutOfRange
        If it is not a whole number of 1/8 µm, or past 2^53 of them.

    Examples
    --------
    >>> inches("13/32"), inches(1)
    (82550, 203200)
    """
    return _exactly(value, UNITS_PER_INCH, "in")


def mm(value: int | str | Fraction | Decimal) -> int:
    """Return a length given in millimetres [1/8 µm]; exact, or refused. Errors as for `inches`."""
    return _exactly(value, UNITS_PER_MM, "mm")


def to_inches(units: int) -> Fraction:
    """Return a length [1/8 µm] in inches [in], exact."""
    return Fraction(units, UNITS_PER_INCH)


def to_mm(units: int) -> Fraction:
    """Return a length [1/8 µm] in millimetres [mm], exact."""
    return Fraction(units, UNITS_PER_MM)


def to_metres(units: int) -> float:
    """Return a length [1/8 µm] in metres [m]."""
    return units / (UNITS_PER_MM * 1000)


def check_length(value: object, name: str, *, least: int, most: int) -> None:
    """Refuse a value that is not a whole number of units inside the range [1/8 µm], both ends included.

    The error names the field without a trailing ``_len``, and writes lengths in inches and millimetres.
    """
    field = name.removesuffix("_len")
    if isinstance(value, bool) or not isinstance(value, int):
        raise Unreadable(
            f"{field} {shown(value)} is not a whole number of 1/8 µm",
            field=field,
            value=value,
            allowed=length_range(least, most),
        )
    if not least <= value <= most:
        raise out_of_range(field, both_units(value), length_range(least, most))


def both_units(units: int) -> str:
    """Return a length in inches and, in brackets, in millimetres.

    Examples
    --------
    >>> both_units(inches(1))
    '1" (25.4 mm)'
    """
    return f"{format_length(units, 'in')} ({format_length(units, 'mm')})"


def format_length(units: int, unit: str) -> str:
    """Write a length to the nearest 1/64 in or 0.1 mm, with "≈" before it where that is not exact.

    Lengths under 1/64 in never read as zero: they are written to 0.001 in or 0.01 mm.

    Examples
    --------
    >>> format_length(1301750, "in"), format_length(1301750, "mm")
    ('6 13/32"', '≈ 162.7 mm')
    >>> format_length(400, "in"), format_length(400, "mm")
    ('≈ 0.002"', '0.05 mm')
    """
    one_of(unit, "unit", ("in", "mm"))
    if 0 < abs(units) < SMALL:
        return _small_text(units, unit)
    step = UNITS_PER_INCH // 64 if unit == "in" else UNITS_PER_MM // 10
    steps = half_up(Fraction(abs(units), step))
    text = _inch_text(steps) if unit == "in" else f"{Decimal(steps) / 10:f} mm"
    sign = "-" if units < 0 and steps else ""
    return f"{'' if steps * step == abs(units) else '≈ '}{sign}{text}"


def length_range(least: int, most: int) -> str:
    """Return a range of lengths in inches and, in brackets, in millimetres, as exactly as it is compared.

    Examples
    --------
    >>> length_range(inches("1/8"), inches(12))
    '1/8" (3.175 mm) to 12" (304.8 mm)'
    """
    return " to ".join(f"{exact_length(end, 'in')} ({exact_length(end, 'mm')})" for end in (least, most))


def exact_length(units: int, unit: str) -> str:
    """Write a length without rounding; in inches with "≈" where it is no 64th.

    Examples
    --------
    >>> exact_length(inches("1/8"), "mm"), exact_length(inches("1/8"), "in")
    ('3.175 mm', '1/8"')
    """
    if unit == "in":
        return format_length(units, unit)
    return f"{(Decimal(units) / UNITS_PER_MM).normalize():f} mm"


def format_about(units: int, unit: str) -> str:
    """Write a length where its place is enough: to the nearest 1/4 in or 5 mm.

    Examples
    --------
    >>> format_about(inches("811/64"), "in"), format_about(inches("811/64"), "mm")
    ('12 3/4"', '320 mm')
    """
    one_of(unit, "unit", ("in", "mm"))
    step = UNITS_PER_INCH // 4 if unit == "in" else UNITS_PER_MM * 5
    return format_length(half_up(Fraction(units, step)) * step, unit)


def _exactly(value: int | str | Fraction | Decimal, scale: int, name: str) -> int:
    """Return a number in a unit as whole units of 1/8 µm; refuse one that is not exact."""
    text = str(value)
    if isinstance(value, bool) or not _CONSTANT.fullmatch(text):
        raise Unreadable(f"{shown(value)} {name} is not a number", field="length", value=value)
    units = Fraction(text) * scale
    if units.denominator != 1 or abs(units) > MOST_UNITS:
        raise out_of_range(
            "length", f"{shown(value)} {name}", "whole multiples of 1/8 µm, up to 2^53 of them"
        )
    return int(units)


def _small_text(units: int, unit: str) -> str:
    """Return a length under 1/64 in as a decimal with at least one figure that is not zero."""
    size = Fraction(abs(units), UNITS_PER_INCH if unit == "in" else UNITS_PER_MM)
    decimals = 3 if unit == "in" else 2
    while not (steps := half_up(size * 10**decimals)):
        decimals += 1
    shown = Fraction(steps, 10**decimals)
    number = f"{Decimal(steps).scaleb(-decimals).normalize():f}"
    text = f'{number}"' if unit == "in" else f"{number} mm"
    return f"{'' if shown == size else '≈ '}{'-' if units < 0 else ''}{text}"


def _inch_text(sixty_fourths: int) -> str:
    """Return inches as a whole number and a reduced fraction."""
    whole, part = divmod(sixty_fourths, 64)
    fraction = Fraction(part, 64)
    words = [str(whole)] if whole or not part else []
    return " ".join([*words, *([str(fraction)] if part else [])]) + '"'
