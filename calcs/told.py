"""A figure in words and in both systems of units, told by the end of its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from calcs.amounts import format_duration, format_temperature
from calcs.sheets import Finish, Glue
from calcs.units import both_units

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
    "_kg_m3": "kg/m³", "_kg": "kg", "_kpa": "kPa", "_n": "N", "_m2": "m²", "_l": "L",
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


def told(name: str, value: Any) -> str:
    """One figure as a person reads it.

    Examples
    --------
    >>> from calcs.units import inches
    >>> told("width_len", inches(32)), told("shop_c", Decimal(20)), told("each_kg", Decimal("45.36"))
    ('32" (812.8 mm)', '68 °F (20 °C)', '100.0 lb (45.36 kg)')
    >>> told("glue_ml", Decimal("327")), told("total_l", Decimal("3.02"))
    ('11.1 fl oz (327 mL)', '3.2 qt (3.02 L)')
    """
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Glue | Finish):
        return value.key
    if isinstance(value, tuple | list):
        return "; ".join(told(name, one) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        return ", ".join(told(n, v) for n, v in _figures(value).items() if v is not None)
    if name in UNITS_BY_NAME:
        return f"{value} {UNITS_BY_NAME[name]}"
    for end, words in WORDS_BY_END.items():
        if name.endswith(end):
            return words(value)
    for end, unit in UNITS_BY_END.items():
        if name.endswith(end):
            return in_both(Decimal(value), unit)
    return str(value)


def _figures(value: Any) -> Mapping[str, Any]:
    return {field.name: getattr(value, field.name) for field in fields(value)}


def _temperature(celsius: Decimal) -> str:
    return f"{format_temperature(celsius, 'F')} ({format_temperature(celsius, 'C')})"


def _duration(seconds: int) -> str:
    return format_duration(seconds) if seconds else "0 s"


def in_both(value: Decimal, unit: str, *, us_first: bool = True) -> str:
    """An amount in its US unit and in the one it is kept in; in that alone where it has no other.

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
    """The amount in the US unit, and that unit: of a volume the largest of which it fills one."""
    us, factor = US_UNITS[unit]
    if unit not in MILLILITRES:
        return value / factor, us
    filled = value * MILLILITRES[unit]
    sizes = [(filled / millilitres, us) for us, millilitres in US_VOLUMES]
    return next((size for size in sizes if size[0] >= NEARLY_ONE), sizes[-1])


WORDS_BY_END: Mapping[str, Callable[[Any], str]] = {
    "_len": both_units,
    "_c": _temperature,
    "_s": _duration,
}
