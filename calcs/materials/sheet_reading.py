"""Values of a product sheet, read from what was typed and from the tables."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal
from typing import Any, TypeVar, cast

from calcs.kit.errors import Unreadable
from calcs.kit.rounding import places
from calcs.kit.typed import plain_decimal
from calcs.kit.units import parse_duration
from calcs.kit.validators import one_of, shown
from calcs.tables import cite, rows

OWN_SHEET = "the shop's own entry from the product's sheet"
# lb/1000 ft2 in g/m2 and ft2/gal (US) in m2/L: NIST SP 811, 2008, appendix B.8, from its lb, ft and gal.
_G_M2 = Decimal("4.882428")
_M2_L = Decimal("0.02454234")
_SECONDS = {"s": 1, "min": 60, "h": 3600, "d": 86400}
_PLACES = {"degF": 2, "lb/1000ft2": 1, "ft2/gal": 2}
Sheet = TypeVar("Sheet")


def read_sheet(kind: type[Sheet], values: Mapping[str, object]) -> Sheet:
    """Return a sheet of a kind from its values; refuse unknown fields and missing ones."""
    known = {each.name: str(each.type) for each in fields(cast(Any, kind))}
    for name in values:
        one_of(name, "field of the sheet", known)
    read: dict[str, Any] = {}
    for name, annotation in known.items():
        value = values.get(name)
        if name == "source":
            read[name] = _sources(value, known)
        elif value is not None and value != "":
            read[name] = _value(name, annotation, value)
        elif "None" not in annotation:
            raise Unreadable(f"{name} is missing", field=name, value=value, allowed="a value")
    return kind(**read)


def _sources(value: object, known: Mapping[str, str]) -> dict[str, str]:
    """Return the source of every field; the shop's own entry where none is given."""
    given = {} if value is None else value
    if not isinstance(given, Mapping) or not all(isinstance(text, str) for text in given.values()):
        raise Unreadable("source is not a list of field and text", field="source", value=value)
    for name in given:
        one_of(name, "source", known)
    return {name: given.get(name, OWN_SHEET) for name in known if name != "source"}


def _value(name: str, annotation: str, value: object) -> object:
    """Return one value of a sheet by the type of its field: text, yes or no, time [s], count or decimal."""
    if annotation.startswith("str") or annotation == "bool":
        return value
    if isinstance(value, str) and name.endswith("_s"):
        return parse_duration(value, field=name)
    if annotation.startswith("int"):
        return int(value) if isinstance(value, str) and re.fullmatch(r"\d{1,6}", value, re.ASCII) else value
    return _decimal(name, value)


def _decimal(name: str, value: object) -> Decimal:
    """Return a decimal from a number or its text; refuse anything else."""
    number = plain_decimal(value) if isinstance(value, str) else None
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool) and len(str(value)) <= 40:
        number = Decimal(str(value))
    if number is None:
        raise Unreadable(
            f"{name} {shown(value)} is not a decimal number",
            field=name,
            value=value,
            allowed="a decimal number",
        )
    return number


def sheets_of_table(name: str) -> dict[str, dict[str, object]]:
    """Return the values of every class in ``tables/<name>.csv`` by key, each figure with its source."""
    values: dict[str, dict[str, object]] = {}
    sources: dict[str, dict[str, str]] = {}
    for row in rows(name):
        key, part = row["key"], row["property"]
        values.setdefault(key, {"key": key})[part] = _from_table(row["value"], row["unit"])
        sources.setdefault(key, {"key": "name of the class"})[part] = cite(row["source"], row["provenance"])
    return {key: {**sheet, "source": sources[key]} for key, sheet in values.items()}


def _from_table(value: str, unit: str) -> object:
    """Return one figure of a table in the unit kept: [s], [°C], [g/m²], [m²/L], count, text or yes/no."""
    if value == "" or unit == "text":
        return value or None
    if unit == "yes/no":
        return value == "yes"
    if unit in _SECONDS:
        return int(value) * _SECONDS[unit]
    if unit in ("count", "days"):
        return int(value)
    number = Decimal(value)
    if unit in _PLACES:
        scaled = {"degF": (number - 32) * 5 / 9, "lb/1000ft2": number * _G_M2, "ft2/gal": number * _M2_L}[
            unit
        ]
        return places(scaled, _PLACES[unit])
    return number
