"""Figures in words and in both systems of units, by the end of their names."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from calcs.asking.figures import Figure
from calcs.kit.amounts import format_duration, format_temperature, format_work, whole_minutes
from calcs.kit.units import both_units
from calcs.materials.product_sheets import Finish, Glue

US_UNITS = {
    "kg": ("lb", Decimal("0.45359237")),
    "kPa": ("psi", Decimal("6.894757293168")),
    "N": ("lbf", Decimal("4.4482216152605")),
    "N·m": ("lbf·ft", Decimal("1.3558179483314")),
    "MPa": ("psi", Decimal("0.006894757293168")),
    "L": ("gal", Decimal("3.785411784")),
    "mL": ("fl oz", Decimal("29.5735295625")),
    "g": ("oz", Decimal("28.349523125")),
    "m²": ("ft²", Decimal("0.09290304")),
    "kg/m³": ("lb/ft³", Decimal("16.01846337396014")),
    "m²/L": ("ft²/gal", Decimal("0.09290304") / Decimal("3.785411784")),
}
"""The US unit beside each unit kept, and how much of the kept one it is; NIST SP 811 (2008), app. B."""
MILLILITRES = {"mL": 1, "L": 1000}
US_VOLUMES = (
    ("gal", Decimal("3785.411784")),
    ("qt", Decimal("946.352946")),
    ("fl oz", Decimal("29.5735295625")),
)
"""From the largest; in millilitres [mL]; NIST SP 811 (2008), app. B."""
NEARLY_ONE = Decimal("0.995")
"""A can that is sold as a quart holds 0.946 L."""
UNITS_BY_END = {
    "_kg_m3": "kg/m³", "_kg": "kg", "_kpa": "kPa", "_n": "N", "_m2": "m²", "_m2_per_l": "m²/L", "_l": "L",
    "_ml": "mL", "_g": "g",
    "_fl_oz": "fl oz", "_ft2": "ft²",
    "_bf": "board ft", "_um": "µm", "_lb": "lb", "_pct": "%", "_deg": "°", "_mpa": "MPa", "_nm": "N·m",
}  # fmt: skip
UNITS_BY_NAME = {
    "mc_from": "%",
    "mc_to": "%",
    "coefficient": "of size per %",
    "price_per_bf": "a board ft",
}
"""Figures whose name does not end in their unit."""


WORK = ("joint_s", "clamps_s", "all_s", "assembly_s", "whole_s", "needed_s", "gained_s")
"""Times of work: estimates, and worded as such."""
UNTIL = ("latest_s", "recoat_to_s", "scrape_to_s", "open_s", "closed_s", "allowed_s")
"""Times by which something has to be done: rounded down."""
FROM = (
    "earliest_s", "likely_s", "need_s", "extra_wait_s", "extra_one_set_s", "scrape_from_s", "unclamp_s",
    "machine_s", "surface_s", "full_s", "touch_dry_s", "recoat_from_s", "light_use_s",
)  # fmt: skip
"""Times from which something may be done: rounded up."""
OF_SHEET = {
    "open": Figure("Open time"),
    "closed": Figure("Assembly time"),
    "scrape_from": Figure("Scrape from"),
    "scrape_to": Figure("Scrape until"),
    "unclamp": Figure("Clamps off after"),
    "machine": Figure("Machining after"),
    "surface": Figure("Final surfacing after"),
    "full": Figure("Full cure after"),
    "touch_dry": Figure("Dry to the touch after"),
    "recoat_from": Figure("Next coat from"),
    "recoat_to": Figure("Next coat until"),
    "light_use": Figure("Light use after"),
    "spread_g_m2": Figure("Spread"),
    "min_temp_c": Figure("No colder than"),
}
"""Figures of a product's sheet, by their names without the unit of time."""
KEYED = re.compile(r"([a-z]+(?:_[a-z0-9]+)*): ")


def format_figure(name: str, value: Any) -> str:
    """Return one figure as a person reads it.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> format_figure("width_len", inches(32)), format_figure("shop_c", Decimal(20))
    ('32" (812.8 mm)', '68 °F (20 °C)')
    >>> format_figure("each_kg", Decimal("45.36")), format_figure("glue_ml", Decimal("327"))
    ('100.0 lb (45.36 kg)', '11.1 fl oz (327 mL)')
    """
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Glue | Finish):
        return value.key
    if isinstance(value, tuple | list):
        return "; ".join(format_figure(name, one) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        return ", ".join(format_figure(n, v) for n, v in _figures(value).items() if v is not None)
    if name == "step" and isinstance(value, str):
        return named(value)
    if name in UNITS_BY_NAME:
        return f"{value} {UNITS_BY_NAME[name]}"
    if name.endswith("_s"):
        return format_time(name, value)
    for end, words in WORDS_BY_END.items():
        if name.endswith(end):
            return words(value)
    for end, unit in UNITS_BY_END.items():
        if name.endswith(end):
            return in_both(Decimal(value), unit)
    return str(value)


def _figures(value: Any) -> Mapping[str, Any]:
    """Return the figures of a dataclass by name."""
    return {field.name: getattr(value, field.name) for field in fields(value)}


def _temperature(celsius: Decimal) -> str:
    """Return a temperature [°C] in both units."""
    return f"{format_temperature(celsius, 'F')} ({format_temperature(celsius, 'C')})"


def format_time(name: str, seconds: int) -> str:
    """Return a time in words by its name: work as an estimate, a wait in whole minutes, else to the second.

    Examples
    --------
    >>> [format_time(name, 292) for name in ("all_s", "open_s", "unclamp_s", "dry_fit_s")]
    ['about 5 min', '4 min', '5 min', '4 min 52 s']
    """
    if name in WORK:
        return format_work(seconds)
    if name in UNTIL or name in FROM:
        seconds = whole_minutes(seconds, later=name in FROM)
    return format_duration(seconds)


def named(key: str) -> str:
    """Return the name of a figure of a product's sheet in words; other names without their underscores."""
    title = sheet_title(key)
    return title[:1].lower() + title[1:] if title else key.removesuffix("_s").replace("_", " ")


def sheet_title(key: str) -> str:
    """Return the title of a figure of a product's sheet; empty for other names."""
    figure = OF_SHEET.get(key.removesuffix("_s"))
    return figure.title if figure else ""


def format_source(source: str) -> str:
    """Return a source as a person reads it; the name of a figure at its start is put in words.

    Examples
    --------
    >>> format_source("spread_g_m2: a table (read)"), format_source("board foot: 1 ft x 1 ft x 1 in")
    ('spread: a table (read)', 'board foot: 1 ft x 1 ft x 1 in')
    """
    keyed = KEYED.match(source)
    return f"{named(keyed[1])}: {source[keyed.end() :]}" if keyed else source


def in_both(value: Decimal, unit: str, *, us_first: bool = True) -> str:
    """Return an amount in its US unit and in the one it is kept in; in that alone where it has no other.

    Examples
    --------
    >>> in_both(Decimal("1.58"), "L"), in_both(Decimal("1.58"), "L", us_first=False)
    ('1.7 qt (1.58 L)', '1.58 L (1.7 qt)')
    """
    if unit not in US_UNITS:
        return f"{value.normalize():f} {unit}".replace(" °", "°")
    exact, us = in_us(value, unit)
    shown = exact.quantize(Decimal("1" if not exact or abs(exact) >= 1000 else "0.1"), ROUND_HALF_UP)
    if exact and abs(shown) < 1:
        shown = exact.quantize(Decimal("0.01"), ROUND_HALF_UP)
    both = (f"{shown:,} {us}", f"{value:f} {unit}")
    first, second = both if us_first else reversed(both)
    return f"{first} ({second})"


def in_us(value: Decimal, unit: str) -> tuple[Decimal, str]:
    """Return an amount in its US unit, and that unit; a volume takes the largest unit it fills once."""
    us, factor = US_UNITS[unit]
    if unit not in MILLILITRES:
        return value / factor, us
    filled = value * MILLILITRES[unit]
    sizes = [(filled / millilitres, us) for us, millilitres in US_VOLUMES]
    return next((size for size in sizes if size[0] >= NEARLY_ONE), sizes[-1])


WORDS_BY_END: Mapping[str, Callable[[Any], str]] = {
    "_len": both_units,
    "_c": _temperature,
    "_s": format_duration,
}
