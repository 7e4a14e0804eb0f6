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
    ('32" (812.8 mm)', '68 °F (20 °C)', '45.36 kg (100.0 lb)')
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
            return _in_both(Decimal(value), unit)
    return str(value)


def _figures(value: Any) -> Mapping[str, Any]:
    return {field.name: getattr(value, field.name) for field in fields(value)}


def _temperature(celsius: Decimal) -> str:
    return f"{format_temperature(celsius, 'F')} ({format_temperature(celsius, 'C')})"


def _duration(seconds: int) -> str:
    return format_duration(seconds) if seconds else "0 s"


def _in_both(value: Decimal, unit: str) -> str:
    if unit not in US_UNITS:
        return f"{value.normalize():f} {unit}".replace(" °", "°")
    us, factor = US_UNITS[unit]
    exact = value / factor
    beside = exact.quantize(Decimal("1" if abs(exact) >= 1000 else "0.1"), ROUND_HALF_UP)
    if exact and abs(beside) < 1:
        beside = exact.quantize(Decimal("0.01"), ROUND_HALF_UP)
    return f"{value:f} {unit} ({beside:,} {us})"


WORDS_BY_END: Mapping[str, Callable[[Any], str]] = {
    "_len": both_units,
    "_c": _temperature,
    "_s": _duration,
}
