"""A figure of a calculation as text: its title, and its value in the reader's units."""

from collections.abc import Collection
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.utils.translation import gettext as _

from calcs.asking.figure_lists import Titles, title_of
from calcs.asking.figure_wording import UNTIL, format_source, format_time, in_us, named, sheet_title
from calcs.kit.amounts import whole_minutes
from calcs.kit.units import format_about, format_length, format_temperature
from jobs.core.units import Units
from jobs.web.kit.formatting import number_words
from jobs.web.kit.stored_translations import translate_stored

UNITS_BY_END = (
    ("_kg_m3", "kg/m³"),
    ("_m2", "m²"),
    ("_bf", "board ft"),
    ("_um", "µm"),
    ("_kg", "kg"),
    ("_lb", "lb"),
    ("_kpa", "kPa"),
    ("_mpa", "MPa"),
    ("_n", "N"),
    ("_nm", "N·m"),
    ("_ml", "mL"),
    ("_g", "g"),
    ("_l", "L"),
    ("_pct", "%"),
    ("_deg", "°"),
    ("mc_from", "%"),
    ("mc_to", "%"),
    ("rh_low", "%"),
    ("rh_high", "%"),
)
IN_US = {
    "kPa": "1", "MPa": "1", "N": "1", "N·m": "0.1", "mL": "0.1", "L": "0.1", "g": "0.1", "kg": "0.1",
}  # fmt: skip
"""Units that a reader of inches gets in the US unit, and the step each is rounded to."""


def label(titles: Titles, name: str) -> str:
    """Return the title of a figure in the language of the page."""
    return translate_stored(title_of(titles, name))


MILLION = Decimal(1_000_000)


def in_reader_units(name: str, units: Units, names: Collection[str]) -> bool:
    """Return whether a figure is for the reader: of a weight kept twice, the one in the reader's unit."""
    other, mine = ("_lb", "_kg") if units.length == "mm" else ("_kg", "_lb")
    return not (name.endswith(other) and f"{name.removesuffix(other)}{mine}" in names)


def value_words(name: str, value: Any, units: Units, *, about: bool = False) -> str:
    """Return a figure with the unit that its name's ending says; a list as its values in a row.

    A length ``about`` is rounded to what the bench can measure.
    """
    if value is None:
        return _("none")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, list):
        return ", ".join(value_words(name, one, units, about=about) for one in value)
    if name == "step":
        return translate_stored(sheet_title(value)) or named(value)
    if name.endswith("_len") and isinstance(value, int):
        return (format_about if about else format_length)(value, units.length)
    if name.endswith("_s") and isinstance(value, int):
        return time_words(name, value)
    if name.endswith("_c"):
        return format_temperature(Decimal(value), units.temperature)
    for end, unit in UNITS_BY_END:
        if name.endswith(end):
            return _amount(Decimal(value), unit, units)
    return str(value)


def time_words(name: str, seconds: int) -> str:
    """Return a time with the precision of its name; from an hour on, in whole minutes."""
    if not seconds:
        return _("0 min")
    return format_time(name, seconds if seconds < 3600 or name in UNTIL else whole_minutes(seconds))


def _amount(value: Decimal, unit: str, units: Units) -> str:
    if unit in IN_US and units.length == "in":
        step = Decimal(IN_US[unit])
        value, unit = in_us(value, unit)
        value = value.quantize(step, ROUND_HALF_UP)
    if value >= MILLION:
        count = number_words((value / MILLION).quantize(Decimal("0.01"), ROUND_HALF_UP))
        return _("%(count)s million %(unit)s") % {"count": count, "unit": unit}
    space = "" if unit == "°" else " "
    return f"{number_words(value)}{space}{unit}"


def source_words(source: str, titles: Titles) -> str:
    """Return a source, its figure under the title on screen."""
    key, colon, rest = source.partition(": ")
    title = titles[key].figure.title if key in titles else sheet_title(key)
    return f"{translate_stored(title)}: {rest}" if colon and title else format_source(source)
