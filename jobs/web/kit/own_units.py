"""Keep one unit of the two in which calculations write a figure: the person's own."""

import re

from jobs.models import Person

NUMBER = r"(?:≈ )?\d[\d,]*(?:\.\d+)?(?: \d+/\d+|/\d+)?"
US = rf"""{NUMBER}(?:"| ?(?:lb/ft³|lbf·ft|lbf|lb|psi|Mpsi|gal|qt|fl oz|oz|ft²/gal|ft²|°F))"""
METRIC = rf"{NUMBER} ?(?:kg/m³|kg|kPa|MPa|GPa|N·m|N|m²/L|m²|mL|L|g|mm|m|°C)"
PAIR = re.compile(rf"(?P<us>{US}) \((?P<metric>{METRIC})\)|(?P<metric_first>{METRIC}) \((?P<us_last>{US})\)")


def own_units(text: str, person: Person) -> str:
    """Return the text with each figure in the person's own unit alone."""

    def own(pair: re.Match[str]) -> str:
        us, metric = pair["us"] or pair["us_last"], pair["metric"] or pair["metric_first"]
        is_us = person.temperature_unit == "F" if "°" in us else person.unit == "in"
        return us if is_us else metric

    return PAIR.sub(own, text)
