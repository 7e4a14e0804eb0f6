"""Units of a bare number, and the inputs that are a quantity: each with its check and its reading."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction
from typing import Any

from calcs.asking.figure_wording import US_UNITS
from calcs.asking.unit_words import factor, split_amount, unit_names
from calcs.kit.amounts import (
    format_duration,
    parse_duration,
    parse_percent,
    parse_temperature,
    temperature_ends,
)
from calcs.kit.errors import Unreadable
from calcs.kit.length_reading import parse_length
from calcs.kit.typed import out_of_range, plain_decimal, plain_whole, unreadable
from calcs.kit.units import UNITS_PER_MM, check_length, length_range
from calcs.kit.validators import decimal, shown, span, whole

Ends = tuple[str | None, str | None]


@dataclass(frozen=True, kw_only=True)
class Habit:
    """Units in which a person's bare numbers are taken: "in" or "mm", "F" or "C"."""

    length: str = "in"
    temperature: str = "F"

    @property
    def us(self) -> bool:
        """Return True for a person who measures in inches."""
        return self.length == "in"


@dataclass(frozen=True)
class Kind:
    """One kind of input; ``says`` is its name in words."""

    says: str

    def check(self, value: Any, field: str) -> None:
        """Refuse a value of the wrong type or outside the range."""
        raise NotImplementedError

    def read(self, typed: Any, field: str, habit: Habit) -> Any:
        """Return the value from typed text, or from JSON."""
        raise NotImplementedError

    @property
    def unit(self) -> str:
        """Return the units it may be typed in; empty for none."""
        return ""

    @property
    def ends(self) -> Ends:
        """Return the least and the most as they may be typed; None where there is none."""
        return None, None

    @property
    def choices(self) -> tuple[str, ...]:
        """Return the names to choose from, where there are some."""
        return ()

    @property
    def allowed(self) -> str:
        """Return the allowed values in words."""
        return ""


@dataclass(frozen=True)
class Length(Kind):
    """A length, kept in 1/8 µm."""

    least: int
    most: int

    def check(self, value: Any, field: str) -> None:
        check_length(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> int:
        return parse_length(
            str(typed), unit=habit.length, field=field, least=self.least, most=self.most
        ).units

    @property
    def unit(self) -> str:
        return "in or mm"

    @property
    def ends(self) -> Ends:
        return _mm(self.least), _mm(self.most)

    @property
    def allowed(self) -> str:
        return length_range(self.least, self.most)


@dataclass(frozen=True)
class Temperature(Kind):
    """A temperature, kept in °C."""

    least: str = "-40"
    most: str = "60"

    def check(self, value: Any, field: str) -> None:
        decimal(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> Decimal:
        return parse_temperature(
            str(typed), unit=habit.temperature, field=field, least=self.least, most=self.most
        )

    @property
    def unit(self) -> str:
        return "°F or °C"

    @property
    def ends(self) -> Ends:
        return f"{self.least} C", f"{self.most} C"

    @property
    def allowed(self) -> str:
        us, metric = (temperature_ends(self.least, self.most, unit) for unit in ("F", "C"))
        return " to ".join(f"{f} ({c})" for f, c in zip(us, metric, strict=True))


@dataclass(frozen=True)
class Percent(Kind):
    """A percentage."""

    least: str = "0"
    most: str = "100"

    def check(self, value: Any, field: str) -> None:
        decimal(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> Decimal:
        return parse_percent(str(typed), field=field, least=self.least, most=self.most)

    @property
    def unit(self) -> str:
        return "%"

    @property
    def ends(self) -> Ends:
        return self.least, self.most

    @property
    def allowed(self) -> str:
        return f"{self.least} to {self.most} %"


@dataclass(frozen=True)
class Duration(Kind):
    """A duration, kept in whole seconds; every number is typed with its unit."""

    least: int = 0
    most: int = 3650 * 86400

    def check(self, value: Any, field: str) -> None:
        whole(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> int:
        return parse_duration(str(typed), field=field, least=self.least, most=self.most)

    @property
    def unit(self) -> str:
        return "s, min, h, d"

    @property
    def ends(self) -> Ends:
        return f"{self.least} s", f"{self.most} s"

    @property
    def allowed(self) -> str:
        return f"{format_duration(self.least) if self.least else '0 s'} to {format_duration(self.most)}"


@dataclass(frozen=True)
class Whole(Kind):
    """A count."""

    least: int = 0
    most: int = 10_000

    def check(self, value: Any, field: str) -> None:
        whole(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> int:
        value = plain_whole(typed)
        if value is None:
            raise Unreadable(
                f"{field} {shown(typed)} is not a whole number",
                field=field,
                value=typed,
                allowed=self.allowed,
            )
        self.check(value, field)
        return value

    @property
    def ends(self) -> Ends:
        return str(self.least), str(self.most)

    @property
    def allowed(self) -> str:
        return span(self.least, self.most)


@dataclass(frozen=True)
class Number(Kind):
    """A decimal number in the unit ``kept``; `calcs.asking.unit_words` lists the units it may be typed in."""

    least: str | None = None
    most: str | None = None
    kept: str = ""

    def check(self, value: Any, field: str) -> None:
        decimal(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> Decimal:
        text = str(typed).strip()
        if "," in text:
            raise unreadable(field, typed, self.allowed, "write a decimal with a point, not a comma")
        digits, word = split_amount(text)
        number = plain_decimal(digits)
        if number is None:
            raise Unreadable(
                f"{field} {shown(typed)} is not a number", field=field, value=typed, allowed=self.allowed
            )
        value = number * self._factor(word, typed, field, habit)
        if (self.least and value < Decimal(self.least)) or (self.most and value > Decimal(self.most)):
            raise out_of_range(field, typed, self.allowed)
        return value

    def _factor(self, word: str, typed: Any, field: str, habit: Habit) -> Decimal:
        """Return the size of the typed unit in the kept unit; a bare number takes the person's."""
        if not word:
            us = US_UNITS.get(self.kept)
            return us[1] if us and habit.us else Decimal(1)
        size = factor(word, self.kept)
        if size is None:
            names = ", ".join(unit_names(self.kept)) or "a number without a unit"
            raise Unreadable(
                f"{field} {shown(typed)} cannot be read: {shown(word)} is no unit here",
                field=field,
                value=typed,
                allowed=names,
            )
        return size

    @property
    def unit(self) -> str:
        us = US_UNITS.get(self.kept)
        return f"{us[0]} or {self.kept}" if us else self.kept

    @property
    def ends(self) -> Ends:
        least, most = (
            None if end is None else f"{end} {self.kept}".strip() for end in (self.least, self.most)
        )
        return least, most

    @property
    def allowed(self) -> str:
        kept = f"{span(self.least, self.most)} {self.kept}".strip()
        if self.kept not in US_UNITS:
            return kept
        us, factor = US_UNITS[self.kept]
        least = self.least and _inside(Fraction(Decimal(self.least)) / Fraction(factor), up=True)
        most = self.most and _inside(Fraction(Decimal(self.most)) / Fraction(factor), up=False)
        return f"{kept} ({span(least, most)} {us})"


def _mm(units: int) -> str:
    return f"{Decimal(units) / UNITS_PER_MM:f} mm"


def _inside(end: Fraction, *, up: bool) -> str:
    """Return an end of a range to four figures or to the whole, rounded into it, so that it may be typed.

    Examples
    --------
    >>> _inside(Fraction("0.22046"), up=True), _inside(Fraction("88184.9"), up=False)
    ('0.2205', '88,184')
    """
    exact = Decimal(end.numerator) / end.denominator
    finer = Decimal(1).scaleb(min(0, exact.adjusted() - 3)) if exact else Decimal(1)
    text = f"{exact.quantize(finer, ROUND_CEILING if up else ROUND_FLOOR):,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
