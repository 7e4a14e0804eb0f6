"""Reading and writing lengths; with `calcs.kit.amounts`, all that people type with a unit.

A length is a whole number of 1/8 micrometre, so that 1/64 in (3175) and 1 mm (8000) are both exact:
the international inch is 25.4 mm by definition [1]_.

References
----------
.. [1] NIST, "Guide for the Use of the International System of Units (SI)", SP 811, 2008, appendix B.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
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
from calcs.kit.typed import DECIMAL, out_of_range, plain, unreadable
from calcs.kit.validators import one_of, shown

__all__ = [
    "MOST_UNITS", "UNITS_PER_INCH", "UNITS_PER_MM", "Length",
    "both_units", "check_length", "format_about", "format_duration", "format_length",
    "format_temperature", "inches", "mm",
    "parse_duration", "parse_length", "parse_percent", "parse_temperature",
    "to_inches", "to_metres", "to_mm",
]  # fmt: skip

UNITS_PER_MM = 8000
UNITS_PER_INCH = 203200
MOST_UNITS = 2**53
SMALL = UNITS_PER_INCH // 64

LENGTH_FORMS = '32, 6 13/32, 6.4, 8/4, 1 3/4", 5\' 2", 812 mm, 1.2 m'

_METRIC = {"mm": 1, "cm": 10, "m": 1000}
_INCH_MARKS = {'"', "''", "in", "inch", "inches"}
_FRACTION = r"(?:(?P<whole>\d{1,9})[ -]+)?(?P<top>\d{1,9}) ?/ ?(?P<bottom>\d{1,9})"
_NUMBER = re.compile(rf"(?:{_FRACTION}|(?P<decimal>{DECIMAL}))", re.ASCII)
_LENGTH = re.compile(
    rf"(?P<sign>-?) ?(?:(?P<feet>{DECIMAL}) ?(?:'|ft|foot|feet)(?:[ -]*(?P<rest>[\d.][\d ./-]*?))?"
    rf"|(?P<number>[\d.][\d ./-]*?)) ?(?P<mark>\"|''|[a-z]*)",
    re.ASCII,
)
_CONSTANT = re.compile(r"-?\d{1,20}(?:/[1-9]\d{0,20}|\.\d{1,20})?", re.ASCII)


@dataclass(frozen=True, kw_only=True)
class Length:
    """A length, with the text it came from.

    Parameters
    ----------
    units : int
        Length [1/8 µm].
    typed : str
        The text as typed, without surrounding space.
    unit : str
        The unit a bare number would have taken, "in" or "mm".
    """

    units: int
    typed: str
    unit: str


def inches(value: int | str | Fraction | Decimal) -> int:
    """A length from inches [in]; exact, or refused.

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
    """A length from millimetres [mm]; exact, or refused. Returns and errors as `inches`."""
    return _exactly(value, UNITS_PER_MM, "mm")


def to_inches(units: int) -> Fraction:
    """Length [1/8 µm] in inches [in], exact."""
    return Fraction(units, UNITS_PER_INCH)


def to_mm(units: int) -> Fraction:
    """Length [1/8 µm] in millimetres [mm], exact."""
    return Fraction(units, UNITS_PER_MM)


def to_metres(units: int) -> float:
    """Length [1/8 µm] in metres [m]."""
    return units / (UNITS_PER_MM * 1000)


def parse_length(
    text: str, *, unit: str, field: str = "length", least: int | None = None, most: int | None = None
) -> Length:
    """Read a length as a person types it.

    Parameters
    ----------
    text : str
        Such as ``32``, ``6 13/32``, ``6-13/32``, ``6.4``, ``8/4``, ``1 3/4"``, ``5' 2 1/2"``, ``812 mm``.
    unit : str
        "in" or "mm": what a bare number means to this person.
    field : str
        Name of the input, for the error.
    least, most : int, optional
        Allowed range [1/8 µm], both ends included; without ``least`` a length is zero or more.

    Returns
    -------
    Length
        The nearest 1/8 µm.

    Raises
    ------
    Unreadable
        If the text is no length. A comma is refused, because it parts thousands for one reader and decimals
        for another. A bare fraction is refused where the unit is mm.
    OutOfRange
        If the length is outside the range or past 2^53 units.

    Examples
    --------
    >>> parse_length("6 13/32", unit="in").units == inches("205/32")
    True
    >>> parse_length("812 mm", unit="in").units == mm(812)
    True
    """
    one_of(unit, "unit", ("in", "mm"))
    bare = plain(text, field, LENGTH_FORMS).lower().removeprefix("≈").strip()
    if "," in bare:
        raise unreadable(field, text, LENGTH_FORMS, "write a decimal with a point, not a comma")
    match = _LENGTH.fullmatch(bare)
    if match is None:
        raise unreadable(field, text, LENGTH_FORMS)
    try:
        size = _feet(match) if match["feet"] else _single(match, unit)
    except _Refused as refused:
        raise unreadable(field, text, LENGTH_FORMS, str(refused)) from None
    units = half_up(-size if match["sign"] else size)
    _check_range(units, text, field, unit, least, most)
    return Length(units=units, typed=text.strip(), unit=unit)


def check_length(value: object, name: str, *, least: int, most: int) -> None:
    """Refuse what is not a whole number of units inside the range [1/8 µm], both ends included.

    The error names the field without a trailing ``_len``, and writes lengths in inches and millimetres.
    """
    field = name.removesuffix("_len")
    allowed = f"{both_units(least)} to {both_units(most)}"
    if isinstance(value, bool) or not isinstance(value, int):
        raise Unreadable(
            f"{field} {shown(value)} is not a whole number of 1/8 µm",
            field=field,
            value=value,
            allowed=allowed,
        )
    if not least <= value <= most:
        raise out_of_range(field, both_units(value), allowed)


def both_units(units: int) -> str:
    """A length in inches and, in brackets, in millimetres."""
    return f"{format_length(units, 'in')} ({format_length(units, 'mm')})"


def format_length(units: int, unit: str) -> str:
    """Write a length: to the nearest 1/64 in or 0.1 mm, with "≈" before it where that is not exact.

    What is smaller than 1/64 in is never nothing: it is written to 0.001 in or 0.01 mm.

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


def format_about(units: int, unit: str) -> str:
    """Write a length where a place is enough: to the nearest 1/4 in or 5 mm.

    Examples
    --------
    >>> format_about(inches("811/64"), "in"), format_about(inches("811/64"), "mm")
    ('12 3/4"', '320 mm')
    """
    one_of(unit, "unit", ("in", "mm"))
    step = UNITS_PER_INCH // 4 if unit == "in" else UNITS_PER_MM * 5
    return format_length(half_up(Fraction(units, step)) * step, unit)


class _Refused(Exception):
    """Why a length that looks like one is none."""


def _single(match: re.Match[str], unit: str) -> Fraction:
    mark = match["mark"] or unit
    if mark in _INCH_MARKS:
        return _number(match["number"]) * UNITS_PER_INCH
    if mark not in _METRIC:
        raise _Refused(f"{mark} is no unit of length here")
    if "/" in match["number"]:
        raise _Refused("a fraction is in inches: write the inch mark, or millimetres as a decimal")
    return _number(match["number"]) * _METRIC[mark] * UNITS_PER_MM


def _feet(match: re.Match[str]) -> Fraction:
    feet, rest, mark = Fraction(match["feet"]), match["rest"], match["mark"]
    if not rest:
        if mark:
            raise _Refused("the inches are missing")
        return feet * 12 * UNITS_PER_INCH
    over = _number(rest)
    if mark and mark not in _INCH_MARKS:
        raise _Refused("after feet come inches")
    if feet.denominator != 1 or over >= 12:
        raise _Refused("with inches after them feet are whole, and inches less than 12")
    return (feet * 12 + over) * UNITS_PER_INCH


def _number(text: str) -> Fraction:
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        raise _Refused("the number has an unknown form")
    if match["decimal"]:
        return Fraction(match["decimal"])
    if int(match["bottom"]) == 0:
        raise _Refused("the fraction has a zero below the line")
    if match["whole"] and int(match["top"]) >= int(match["bottom"]):
        raise _Refused("a fraction after a whole number is less than one")
    return int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))


def _check_range(units: int, text: str, field: str, unit: str, least: int | None, most: int | None) -> None:
    low = 0 if least is None else least
    high = MOST_UNITS if most is None else most
    if low <= units <= high:
        return
    allowed = f"{format_length(low, unit)} to {format_length(high, unit)}"
    if most is None:
        allowed = f"at least {format_length(low, unit)}" if units < low else "far smaller"
    raise out_of_range(field, text, allowed)


def _exactly(value: int | str | Fraction | Decimal, scale: int, name: str) -> int:
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
    size = Fraction(abs(units), UNITS_PER_INCH if unit == "in" else UNITS_PER_MM)
    decimals = 3 if unit == "in" else 2
    while not (steps := half_up(size * 10**decimals)):
        decimals += 1
    shown = Fraction(steps, 10**decimals)
    number = f"{Decimal(steps).scaleb(-decimals).normalize():f}"
    text = f'{number}"' if unit == "in" else f"{number} mm"
    return f"{'' if shown == size else '≈ '}{'-' if units < 0 else ''}{text}"


def _inch_text(sixty_fourths: int) -> str:
    whole, part = divmod(sixty_fourths, 64)
    fraction = Fraction(part, 64)
    words = [str(whole)] if whole or not part else []
    return " ".join([*words, *([str(fraction)] if part else [])]) + '"'
