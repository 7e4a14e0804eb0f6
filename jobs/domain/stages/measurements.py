"""Measurements: parsed from typed text, stored exactly, shown in a person's units."""

from decimal import Decimal
from typing import Any

from calcs.kit.amounts import format_temperature, parse_percent, parse_temperature
from calcs.kit.length_reading import parse_length
from calcs.kit.typed import plain_decimal
from calcs.kit.units import format_length
from jobs.core.errors import Invalid
from jobs.core.parsing import read_code
from jobs.core.units import Units

LONGEST_MEASURE = 60


def read_measure(gate: dict[str, Any], text: str, units: Units) -> dict[str, Any]:
    """Return a typed measurement in stored form, with the typed text beside it."""
    field, unit = f"measured.{gate['key']}", gate["unit"]
    if len(text) > LONGEST_MEASURE:
        raise Invalid("too long", field=field, value=text[:LONGEST_MEASURE], allowed="a measurement")
    if unit == "yes":
        if text.strip().lower() not in ("yes", "true", "1", "no", "false", "0"):
            raise Invalid("answer yes or no", field=field, value=text, allowed="yes, no")
        return {"yes": text.strip().lower() in ("yes", "true", "1")}
    if unit == "length":
        length = parse_length(text, unit=units.length, field=field, least=0)
        return {"len": length.units, "typed": length.typed}
    if unit == "celsius":
        return {"c": parse_temperature(text, unit=units.temperature, field=field), "typed": text}
    if unit == "percent":
        return {"pct": parse_percent(text, field=field), "typed": text}
    if unit == "code":
        return {"code": read_code(text, field)}
    return {"n": _number(text, field), "typed": text}


def _number(text: str, field: str) -> Decimal:
    number = plain_decimal(text)
    if number is None or not 0 <= number <= 100_000:
        raise Invalid("not a number", field=field, value=text, allowed="0 to 100000")
    return number


def amount(stored: dict[str, Any]) -> Decimal | None:
    """Return the number of a stored measurement in its base unit; None where it has none."""
    for name in ("len", "c", "pct", "n"):
        if name in stored:
            return Decimal(stored[name])
    return None


def show(stored: dict[str, Any], units: Units) -> str:
    """Return a stored measurement in the reader's units."""
    if "yes" in stored:
        return "yes" if stored["yes"] else "no"
    if "len" in stored:
        return format_length(int(stored["len"]), units.length)
    if "c" in stored:
        return format_temperature(Decimal(stored["c"]), units.temperature)
    if "pct" in stored:
        return f"{stored['pct']} %"
    return str(stored.get("code", stored.get("n", "")))
