"""The kinds of input a calculation takes: what each refuses, and how it is read from typed text."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.amounts import (
    format_duration,
    format_temperature,
    parse_duration,
    parse_percent,
    parse_temperature,
)
from calcs.errors import CalcError, OutOfRange, Unknown, Unreadable
from calcs.guards import decimal, one_of, shown, span, whole
from calcs.sheets import Finish, Glue, finish_classes, glue_classes
from calcs.species import species, species_list
from calcs.told import US_UNITS
from calcs.units import both_units, check_length, parse_length

MOST_ROWS = 1000


@dataclass(frozen=True, kw_only=True)
class Habit:
    """The units a bare number is taken in: "in" or "mm", "F" or "C"."""

    length: str = "in"
    temperature: str = "F"

    @property
    def us(self) -> bool:
        return self.length == "in"


@dataclass(frozen=True)
class Kind:
    """One kind of input; ``says`` is its name in words."""

    says: str

    def check(self, value: Any, field: str) -> None:
        """Refuse a value of the wrong type or outside the range."""
        raise NotImplementedError

    def read(self, typed: Any, field: str, habit: Habit) -> Any:
        """The value from what was typed, or from JSON."""
        raise NotImplementedError

    @property
    def unit(self) -> str:
        return ""

    @property
    def allowed(self) -> str:
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
    def allowed(self) -> str:
        return f"{both_units(self.least)} to {both_units(self.most)}"


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
    def allowed(self) -> str:
        least, most = Decimal(self.least), Decimal(self.most)
        ends = (f"{format_temperature(t, 'F')} ({format_temperature(t, 'C')})" for t in (least, most))
        return " to ".join(ends)


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
        try:
            value = int(str(typed).strip())
        except ValueError:
            raise Unreadable(
                f"{field} {shown(typed)} is not a whole number",
                field=field,
                value=typed,
                allowed=self.allowed,
            ) from None
        self.check(value, field)
        return value

    @property
    def allowed(self) -> str:
        return span(self.least, self.most)


@dataclass(frozen=True)
class Number(Kind):
    """A decimal number in ``kept``; of the units of `US_UNITS` either form may be typed."""

    least: str | None = None
    most: str | None = None
    kept: str = ""

    def check(self, value: Any, field: str) -> None:
        decimal(value, field, least=self.least, most=self.most)

    def read(self, typed: Any, field: str, habit: Habit) -> Decimal:
        text = str(typed).strip()
        us, factor = US_UNITS.get(self.kept, ("", Decimal(1)))
        in_us = bool(us) and (text.endswith(us) or (habit.us and not text.endswith(self.kept)))
        for mark in (us, self.kept):
            text = text.removesuffix(mark).strip() if mark else text
        try:
            number = Decimal(text.replace(" ", ""))
            value = number * factor if in_us else number
        except ArithmeticError:
            number = Decimal("NaN")
        if not number.is_finite():
            raise Unreadable(
                f"{field} {shown(typed)} is not a number", field=field, value=typed, allowed=self.allowed
            )
        self.check(value, field)
        return value

    @property
    def unit(self) -> str:
        us = US_UNITS.get(self.kept)
        return f"{us[0]} or {self.kept}" if us else self.kept

    @property
    def allowed(self) -> str:
        return f"{span(self.least, self.most)} {self.kept}".strip()


@dataclass(frozen=True)
class Choice(Kind):
    """One of a few names."""

    names: tuple[str, ...]

    def check(self, value: Any, field: str) -> None:
        one_of(value, field, self.names)

    def read(self, typed: Any, field: str, habit: Habit) -> str:
        value = str(typed).strip()
        self.check(value, field)
        return value

    @property
    def allowed(self) -> str:
        return ", ".join(self.names)


@dataclass(frozen=True)
class Text(Kind):
    """A short text of one line."""

    longest: int = 60

    def check(self, value: Any, field: str) -> None:
        if not isinstance(value, str) or not value.isprintable():
            raise Unreadable(
                f"{field} {shown(value)} is not a line of text",
                field=field,
                value=value,
                allowed=self.allowed,
            )
        if not value.strip() or len(value) > self.longest:
            raise OutOfRange(
                f"{field} has {len(value)} characters: {self.allowed}",
                field=field,
                value=value,
                allowed=self.allowed,
            )

    def read(self, typed: Any, field: str, habit: Habit) -> str:
        value = typed.strip() if isinstance(typed, str) else str(typed)
        self.check(value, field)
        return value

    @property
    def allowed(self) -> str:
        return f"1 to {self.longest} characters"


@dataclass(frozen=True)
class Yes(Kind):
    """Yes or no."""

    def check(self, value: Any, field: str) -> None:
        if not isinstance(value, bool):
            raise Unreadable(
                f"{field} {shown(value)} is not yes or no", field=field, value=value, allowed=self.allowed
            )

    def read(self, typed: Any, field: str, habit: Habit) -> bool:
        word = str(typed).strip().lower()
        if word not in ("yes", "no", "true", "false"):
            raise Unreadable(
                f"{field} {shown(typed)} is not yes or no", field=field, value=typed, allowed=self.allowed
            )
        return word in ("yes", "true")

    @property
    def allowed(self) -> str:
        return "yes, no"


@dataclass(frozen=True)
class Wood(Kind):
    """A species of the table, by its name or another it goes by."""

    def check(self, value: Any, field: str) -> None:
        self._find(value, field)

    def read(self, typed: Any, field: str, habit: Habit) -> str:
        return self._find(typed, field)

    @property
    def allowed(self) -> str:
        return ", ".join(wood.name for wood in species_list())

    @staticmethod
    def _find(value: Any, field: str) -> str:
        try:
            return species(value).name
        except CalcError as refused:
            refused.field = field
            raise


@dataclass(frozen=True)
class Product(Kind):
    """A class of glue or of finish by its key, or a sheet of the shop's own as a value."""

    sheet: type[Glue] | type[Finish]

    def check(self, value: Any, field: str) -> None:
        if not isinstance(value, self.sheet):
            raise Unknown(
                f"{field} {shown(value)} is not a product sheet",
                field=field,
                value=value,
                allowed=self.allowed,
            )

    def read(self, typed: Any, field: str, habit: Habit) -> Any:
        if isinstance(typed, self.sheet):
            return typed
        one_of(typed, field, self._classes())
        return self._classes()[typed]

    @property
    def allowed(self) -> str:
        return ", ".join(self._classes())

    def _classes(self) -> Mapping[str, Any]:
        return glue_classes() if self.sheet is Glue else finish_classes()


@dataclass(frozen=True)
class Many(Kind):
    """Several of one kind; typed as a list, or as text with ``mark`` between."""

    of: Kind
    least: int = 0
    most: int = MOST_ROWS
    mark: str = ","

    def check(self, value: Any, field: str) -> None:
        if not isinstance(value, tuple):
            raise Unreadable(
                f"{field} {shown(value)} is not a list", field=field, value=value, allowed=self.allowed
            )
        self.count(value, field)
        for n, one in enumerate(value, start=1):
            self.of.check(one, f"{field}[{n}]")

    def read(self, typed: Any, field: str, habit: Habit) -> tuple[Any, ...]:
        rows = listed(typed, field, self.allowed) if not isinstance(typed, str) else parts(typed, self.mark)
        self.count(rows, field)
        return tuple(self.of.read(one, f"{field}[{n}]", habit) for n, one in enumerate(rows, start=1))

    def count(self, rows: Any, field: str) -> None:
        """Refuse too few or too many."""
        if not self.least <= len(rows) <= self.most:
            raise OutOfRange(
                f"{field} has {len(rows)} entries: {self.least} to {self.most}",
                field=field,
                value=len(rows),
                allowed=f"{self.least} to {self.most} entries",
            )

    @property
    def unit(self) -> str:
        return self.of.unit

    @property
    def allowed(self) -> str:
        return f"{self.least} to {self.most} entries, each {self.of.allowed}"


def listed(typed: Any, field: str, allowed: str) -> list[Any]:
    try:
        rows = json.loads(typed) if isinstance(typed, str) else typed
    except json.JSONDecodeError:
        rows = None
    if not isinstance(rows, list | tuple):
        raise Unreadable(f"{field} {shown(typed)} is not a list", field=field, value=typed, allowed=allowed)
    return list(rows)


def parts(text: str, mark: str) -> list[str]:
    return [part.strip() for part in text.split(mark) if part.strip()]
