"""A person's units for bare numbers, and lengths as they were typed."""

import re
from dataclasses import dataclass

from calcs.kit.length_reading import Length

NUMBER = r"(?:≈ )?\d[\d,]*(?:\.\d+)?(?: \d+/\d+|/\d+)?"
US = rf"""{NUMBER}(?:"| ?(?:lb/ft³|lbf·ft|lbf|lb|psi|Mpsi|gal|qt|fl oz|oz|ft²/gal|ft²|°F))"""
METRIC = rf"{NUMBER} ?(?:kg/m³|kg|kPa|MPa|GPa|N·m|N|m²/L|m²|mL|L|g|mm|m|°C)"
PAIR = re.compile(rf"(?P<us>{US}) \((?P<metric>{METRIC})\)|(?P<metric_first>{METRIC}) \((?P<us_last>{US})\)")
"""A figure in both systems, as calculations write it."""


@dataclass(frozen=True, kw_only=True)
class Units:
    """The units in which a person writes a bare number."""

    length: str = "in"
    temperature: str = "F"


def echo(length: Length) -> str:
    """Return the typed length; a bare number gets the unit it was read in."""
    has_unit = any(c.isalpha() or c in "'\"\u2032\u2033" for c in length.typed)
    return length.typed if has_unit else f"{length.typed} {length.unit}"


def unit_of(echoed: str, usual: str) -> str:
    """Return the unit of a typed length; ``usual`` where nobody typed it."""
    if not echoed:
        return usual
    return "mm" if echoed.lower().endswith("m") else "in"  # mm, cm, m; no spelling of inch or foot ends so


def in_units(text: str, units: Units) -> str:
    """Return a text with each figure that it gives in both systems in these units alone.

    Examples
    --------
    >>> in_units('a slot 4" (101.6 mm) from the end', Units(length="mm"))
    'a slot 101.6 mm from the end'
    """

    def chosen(pair: re.Match[str]) -> str:
        us, metric = pair["us"] or pair["us_last"], pair["metric"] or pair["metric_first"]
        is_us = units.temperature == "F" if "°" in us else units.length == "in"
        return us if is_us else metric

    return PAIR.sub(chosen, text)
