"""Reading of lengths as people type them: fractions, feet and inches, decimals, metric units.

The nearest unit of 1/8 µm is taken. A comma is refused, as it means thousands to one reader and decimals to
another.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from calcs.kit.rounding import half_up
from calcs.kit.typed import DECIMAL, out_of_range, plain, unreadable
from calcs.kit.units import MOST_UNITS, UNITS_PER_INCH, UNITS_PER_MM, exact_length
from calcs.kit.validators import one_of

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
    >>> from calcs.kit.units import inches, mm
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


class _Refused(Exception):
    """Reason why a text that looks like a length is none."""


def _single(match: re.Match[str], unit: str) -> Fraction:
    """Return a length without feet [1/8 µm], in the unit written after it or the person's own."""
    mark = match["mark"] or unit
    if mark in _INCH_MARKS:
        return _number(match["number"]) * UNITS_PER_INCH
    if mark not in _METRIC:
        raise _Refused(f"{mark} is no unit of length here")
    if "/" in match["number"]:
        raise _Refused("a fraction is in inches: write the inch mark, or millimetres as a decimal")
    return _number(match["number"]) * _METRIC[mark] * UNITS_PER_MM


def _feet(match: re.Match[str]) -> Fraction:
    """Return a length of feet, with inches where there are some [1/8 µm]."""
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
    """Return a number: a whole one with a fraction, a fraction, or a decimal."""
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
    """Refuse a length outside its range; the error writes the ends in the person's unit."""
    low = 0 if least is None else least
    high = MOST_UNITS if most is None else most
    if low <= units <= high:
        return
    allowed = f"{exact_length(low, unit)} to {exact_length(high, unit)}"
    if most is None:
        allowed = f"at least {exact_length(low, unit)}" if units < low else "far smaller"
    raise out_of_range(field, text, allowed)
