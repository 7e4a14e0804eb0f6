"""Words that people type for the units of amounts, each with its size in the unit kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from types import MappingProxyType

from calcs.asking.figure_wording import US_UNITS

_WORDS: tuple[tuple[str, Mapping[str, tuple[Decimal, str]]], ...] = (
    (
        "g",
        {
            "g": (Decimal(1), "g gram grams gramme grammes"),
            "kg": (Decimal(1000), "kg kgs kilo kilos kilogram kilograms"),
            "oz": (Decimal("28.349523125"), "oz ounce ounces"),
            "lb": (Decimal("453.59237"), "lb lbs pound pounds"),
        },
    ),
    (
        "mL",
        {
            "mL": (Decimal(1), "ml millilitre millilitres milliliter milliliters"),
            "cL": (Decimal(10), "cl"),
            "L": (Decimal(1000), "l litre litres liter liters"),
            "fl oz": (Decimal("29.5735295625"), "floz fluidounce fluidounces"),
            "pt": (Decimal("473.176473"), "pt pts pint pints"),
            "qt": (Decimal("946.352946"), "qt qts quart quarts"),
            "gal": (Decimal("3785.411784"), "gal gals gallon gallons"),
        },
    ),
    (
        "m²",
        {
            "m²": (Decimal(1), "m2 sqm squaremetre squaremetres squaremeter squaremeters"),
            "ft²": (Decimal("0.09290304"), "ft2 sqft squarefoot squarefeet"),
        },
    ),
    (
        "kPa",
        {
            "kPa": (Decimal(1), "kpa"),
            "MPa": (Decimal(1000), "mpa"),
            "psi": (Decimal("6.894757293168"), "psi"),
        },
    ),
    ("µm", {"µm": (Decimal(1), "µm um micron microns"), "mil": (Decimal("25.4"), "mil mils")}),
    ("N", {"N": (Decimal(1), "n newton newtons"), "lbf": (Decimal("4.4482216152605"), "lbf")}),
)
"""Units of one measure in the first one; US customary units of NIST SP 811, 2008, appendix B."""
_KEPT_IN = {
    "kg": "g",
    "g": "g",
    "L": "mL",
    "mL": "mL",
    "m²": "m²",
    "kPa": "kPa",
    "MPa": "kPa",
    "N": "N",
    "µm": "µm",
}
_POWERS = str.maketrans("²³", "23")
_AMOUNT = re.compile(r"(?P<number>[+-]?[\d.]+) ?(?P<unit>[^\d\s.+-]\D*[23]?)?", re.ASCII)


def split_amount(text: str) -> tuple[str, str]:
    """Split a text into its number and its unit, each without space around it; the unit may be empty.

    A text that is not one number and at most one unit comes back whole, as a number that cannot be read.

    Examples
    --------
    >>> split_amount("5 lbs"), split_amount("10ft2"), split_amount("12"), split_amount("1 2 lb")
    (('5', 'lbs'), ('10', 'ft2'), ('12', ''), ('1 2 lb', ''))
    """
    match = _AMOUNT.fullmatch(" ".join(text.split()))
    return (match["number"], match["unit"] or "") if match else (text, "")


def factor(word: str, kept: str) -> Decimal | None:
    """Return the size of a typed unit in the kept unit; None where it does not measure the same.

    Examples
    --------
    >>> factor("sq ft", "m²"), factor("Quarts", "L"), factor("oz", "L")
    (Decimal('0.09290304'), Decimal('0.946352946'), None)
    """
    return _factors(kept).get(_key(word))


def unit_names(kept: str) -> tuple[str, ...]:
    """Return the units that may be typed for an amount in the kept unit, each by its sign."""
    measure = dict(_WORDS).get(_KEPT_IN.get(kept, ""))
    if measure is not None:
        return tuple(measure)
    us = US_UNITS.get(kept)
    return tuple(filter(None, (us[0] if us else "", kept)))


@cache
def _factors(kept: str) -> Mapping[str, Decimal]:
    """Return every word for a unit of the kept unit's measure, with its size."""
    measure = dict(_WORDS).get(_KEPT_IN.get(kept, ""))
    if measure is None:
        us = {_key(US_UNITS[kept][0]): US_UNITS[kept][1]} if kept in US_UNITS else {}
        return MappingProxyType({**us, _key(kept): Decimal(1)} if kept else {})
    one = measure[kept][0]
    return MappingProxyType({
        word: size / one for size, words in measure.values() for word in words.split()
    })  # fmt: skip


def _key(word: str) -> str:
    """Return the word without case, space, full stop or hyphen, so that fl. oz and FL-OZ are one."""
    return re.sub(r"[\s.·^\-]", "", word).translate(_POWERS).casefold()
