"""Reading and writing of temperatures, durations and percentages.

Temperatures are kept in °C as Decimal, durations as whole seconds, percentages as Decimal. A bare number is
read in the person's own unit of temperature; a duration always needs its unit.
"""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction

from calcs.kit.typed import DECIMAL, out_of_range, plain, unreadable
from calcs.kit.validators import one_of

TEMPERATURE_FORMS = "68 F, 20 °C, 20"
DURATION_FORMS = "20 s, 45 min, 4 h, 3 d, 1 h 30 min"
PERCENT_FORMS = "8, 8.5 %"

_SECONDS = {
    "s": 1, "sec": 1, "second": 1, "seconds": 1,
    "min": 60, "minute": 60, "minutes": 60,
    "h": 3600, "hr": 3600, "hour": 3600, "hours": 3600,
    "d": 86400, "day": 86400, "days": 86400,
}  # fmt: skip
_TEMPERATURE = re.compile(rf"(?P<sign>[-+]?) ?(?P<number>{DECIMAL}) ?°? ?(?P<mark>[cf]?)", re.ASCII)
_PERCENT = re.compile(rf"(?P<number>{DECIMAL}) ?%?", re.ASCII)
_DURATION_PART = re.compile(rf"({DECIMAL}) ?([a-z]+) ?", re.ASCII)


def parse_temperature(
    text: str, *, unit: str, field: str = "temperature", least: str = "-50", most: str = "150"
) -> Decimal:
    """Read a temperature.

    Parameters
    ----------
    text : str
        Such as ``68 F``, ``20 °C``, ``20``.
    unit : str
        "F" or "C": the unit of a bare number.
    field : str
        Name of the input, for the error.
    least, most : str
        Allowed range [°C].

    Returns
    -------
    Decimal
        Temperature [°C], to 0.01.

    Raises
    ------
    Unreadable
        If the text is no temperature.
    OutOfRange
        If it lies outside the range.

    Examples
    --------
    >>> parse_temperature("68 F", unit="C")  # (68 - 32) x 5/9
    Decimal('20.00')
    """
    one_of(unit, "unit", ("F", "C"))
    match = _TEMPERATURE.fullmatch(plain(text, field, TEMPERATURE_FORMS).lower())
    if match is None:
        raise unreadable(field, text, TEMPERATURE_FORMS)
    given = Decimal(match["number"]) * (-1 if match["sign"] == "-" else 1)
    fahrenheit = (match["mark"] or unit.lower()) == "f"
    celsius = ((given - 32) * 5 / 9 if fahrenheit else given).quantize(Decimal("0.01"), ROUND_HALF_UP)
    if not Decimal(least) <= celsius <= Decimal(most):
        raise out_of_range(field, text, " to ".join(temperature_ends(least, most, unit)))
    return celsius


def temperature_ends(least: str, most: str, unit: str) -> tuple[str, str]:
    """Return both ends of a range [°C] in °F or °C, rounded into it to 0.1 degree, so that each may be typed.

    Examples
    --------
    >>> temperature_ends("-1.2", "60", "F")  # -1.2 °C are 29.84 °F
    ('29.9 °F', '140 °F')
    """
    ends = [Decimal(end) * 9 / 5 + 32 if unit == "F" else Decimal(end) for end in (least, most)]
    low, high = (
        end.quantize(Decimal("0.1"), way) for end, way in zip(ends, (ROUND_CEILING, ROUND_FLOOR), strict=True)
    )
    return f"{_trim(low)} °{unit}", f"{_trim(high)} °{unit}"


def format_temperature(celsius: Decimal, unit: str) -> str:
    """Write a temperature [°C] in °F or °C, to 0.1 degree and without a needless ``.0``.

    Examples
    --------
    >>> format_temperature(Decimal("20"), "F"), format_temperature(Decimal("21.1"), "C")
    ('68 °F', '21.1 °C')
    """
    one_of(unit, "unit", ("F", "C"))
    value = celsius * 9 / 5 + 32 if unit == "F" else celsius
    tenths = value.quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{_trim(tenths)} °{unit}"


def both_temperatures(celsius: Decimal) -> str:
    """Write a temperature [°C] in both units.

    Examples
    --------
    >>> both_temperatures(Decimal(20))
    '68 °F (20 °C)'
    """
    return f"{format_temperature(celsius, 'F')} ({format_temperature(celsius, 'C')})"


def sheet_temperature(celsius: Decimal) -> str:
    """Write a temperature [°C] of a product sheet in both units, with whole degrees Fahrenheit as sheets
    print.

    Examples
    --------
    >>> sheet_temperature(Decimal(21))
    '70 °F (21 °C)'
    """
    fahrenheit = (celsius * 9 / 5 + 32).quantize(Decimal(1), ROUND_HALF_UP)
    return f"{fahrenheit} °F ({format_temperature(celsius, 'C')})"


def parse_duration(text: str, *, field: str = "duration", least: int = 0, most: int = 3650 * 86400) -> int:
    """Read a duration; every number needs its unit.

    Parameters
    ----------
    text : str
        Such as ``20 s``, ``45 min``, ``4 h``, ``3 d``, ``1 h 30 min``, ``1.5 h``.
    field : str
        Name of the input, for the error.
    least, most : int
        Allowed range [s]; ten years by default.

    Returns
    -------
    int
        Duration [s].

    Raises
    ------
    Unreadable
        If the text is no duration, a unit is missing or repeated, or it is not a whole number of seconds.
    OutOfRange
        If it lies outside the range.

    Examples
    --------
    >>> parse_duration("1 h 30 min")
    5400
    """
    bare = plain(text, field, DURATION_FORMS).lower()
    parts = _DURATION_PART.findall(bare)
    if not parts or _DURATION_PART.sub("", bare):
        raise unreadable(field, text, DURATION_FORMS, "a number needs its unit")
    scales = [_SECONDS.get(unit, 0) for _, unit in parts]
    if 0 in scales or scales != sorted(set(scales), reverse=True):
        raise unreadable(field, text, DURATION_FORMS, "units are s, min, h, d, each once, the longest first")
    seconds = sum(Fraction(number) * scale for (number, _), scale in zip(parts, scales, strict=True))
    if seconds.denominator != 1:
        raise unreadable(field, text, DURATION_FORMS, "it is not a whole number of seconds")
    if not least <= seconds <= most:
        allowed = f"{format_duration(least)} to {format_duration(most)}"
        raise out_of_range(field, text, allowed)
    return int(seconds)


def format_duration(seconds: int) -> str:
    """Write a duration [s] so that `parse_duration` reads it back exactly.

    Examples
    --------
    >>> format_duration(5400), format_duration(259200), format_duration(20)
    ('1 h 30 min', '3 d', '20 s')
    """
    parts, left = [], seconds
    for name, size in (("d", 86400), ("h", 3600), ("min", 60), ("s", 1)):
        count, left = divmod(left, size)
        if count:
            parts.append(f"{count} {name}")
    return " ".join(parts) or "0 s"


def whole_minutes(seconds: int, *, later: bool = True) -> int:
    """Round a duration [s] of a minute or more to whole minutes: up, or down with ``later`` false.

    Examples
    --------
    >>> whole_minutes(267), whole_minutes(267, later=False), whole_minutes(45)
    (300, 240, 45)
    """
    if seconds < 60:
        return seconds
    return -(-seconds // 60) * 60 if later else seconds // 60 * 60


def format_work(seconds: int) -> str:
    """Write an estimate of work [s] no closer than it is known: minutes, from ten on fives, then half hours.

    Examples
    --------
    >>> format_work(3267), format_work(184), format_work(7500), format_work(40)
    ('about 55 min', 'about 3 min', 'about 2 h', 'about 40 s')
    """
    if seconds < 60:
        return f"about {seconds} s"
    minutes = (seconds + 30) // 60
    if minutes >= 10:
        minutes = (minutes * 2 + 5) // 10 * 5
    if minutes < 120:
        return f"about {minutes} min"
    halves = (seconds + 900) // 1800
    return f"about {halves // 2} h" if halves % 2 == 0 else f"about {halves // 2} h 30 min"


def parse_percent(text: str, *, field: str = "percent", least: str = "0", most: str = "100") -> Decimal:
    """Read a percentage such as ``8``, ``8.5 %``.

    Parameters
    ----------
    text : str
        Digits with or without a percent sign.
    field : str
        Name of the input, for the error.
    least, most : str
        Allowed range [%].

    Returns
    -------
    Decimal
        Percentage [%], with as many places as typed.

    Raises
    ------
    Unreadable, OutOfRange
    """
    match = _PERCENT.fullmatch(plain(text, field, PERCENT_FORMS))
    if match is None:
        raise unreadable(field, text, PERCENT_FORMS)
    value = Decimal(match["number"])
    if not Decimal(least) <= value <= Decimal(most):
        allowed = f"{least} to {most} %"
        raise out_of_range(field, text, allowed)
    return value


def _trim(value: Decimal) -> str:
    """Return a number as text without needless zeros, and without a minus before zero."""
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text
