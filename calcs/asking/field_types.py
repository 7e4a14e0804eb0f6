"""Kinds of input: names, texts, products and lists, each with its check and its reading."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calcs.asking.quantity_fields import (
    Duration,
    Ends,
    Habit,
    Kind,
    Length,
    Number,
    Percent,
    Temperature,
    Whole,
)
from calcs.kit.errors import CalcError, OutOfRange, Unknown, Unreadable
from calcs.kit.typed import comma_in_number
from calcs.kit.validators import one_of, shown
from calcs.materials.product_sheets import Finish, Glue, finish_classes, glue_classes
from calcs.materials.species import species_list, wood_name

__all__ = [
    "Choice", "Duration", "Habit", "Kind", "Length", "Many", "Number", "Percent", "Product", "Temperature",
    "Text", "Whole", "Wood", "Yes",
]  # fmt: skip

MOST_ROWS = 1000


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
    def choices(self) -> tuple[str, ...]:
        return self.names

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
    def choices(self) -> tuple[str, ...]:
        return ("yes", "no")

    @property
    def allowed(self) -> str:
        return ", ".join(self.choices)


@dataclass(frozen=True)
class Wood(Kind):
    """A species of the table by any of its names, or another wood marked as one."""

    def check(self, value: Any, field: str) -> None:
        self._find(value, field)

    def read(self, typed: Any, field: str, habit: Habit) -> str:
        return self._find(typed, field)

    @property
    def choices(self) -> tuple[str, ...]:
        return tuple(wood.name for wood in species_list())

    @property
    def allowed(self) -> str:
        return ", ".join(self.choices)

    @staticmethod
    def _find(value: Any, field: str) -> str:
        try:
            return wood_name(value)
        except CalcError as refused:
            refused.field = field
            raise


@dataclass(frozen=True)
class Product(Kind):
    """A class of glue or of finish by its key, or a sheet of the shop as a value."""

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
    def choices(self) -> tuple[str, ...]:
        return tuple(self._classes())

    @property
    def allowed(self) -> str:
        return ", ".join(self.choices)

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
        spelt = isinstance(typed, str) and not typed.lstrip().startswith("[")
        rows = parts(typed, self.mark) if spelt else listed(typed, field, self.allowed)
        if spelt and self.mark == ",":
            refuse_decimal_comma(typed, field)
        self.count(rows, field)
        return tuple(self.of.read(one, f"{field}[{n}]", habit) for n, one in enumerate(rows, start=1))

    def count(self, rows: Any, field: str) -> None:
        """Refuse too few or too many entries."""
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
    def ends(self) -> Ends:
        return self.of.ends

    @property
    def choices(self) -> tuple[str, ...]:
        return self.of.choices

    @property
    def allowed(self) -> str:
        return f"{self.least} to {self.most} entries, each {self.of.allowed}"


def listed(typed: Any, field: str, allowed: str) -> list[Any]:
    """Return a list, or the list that a text holds as JSON.

    Raises
    ------
    Unreadable
        If the value is no list.
    """
    try:
        rows = json.loads(typed) if isinstance(typed, str) else typed
    except json.JSONDecodeError:
        rows = None
    if not isinstance(rows, list | tuple):
        raise Unreadable(f"{field} {shown(typed)} is not a list", field=field, value=typed, allowed=allowed)
    return list(rows)


def refuse_decimal_comma(text: str, field: str) -> None:
    """Refuse a comma between entries that may be a decimal's: ``6,5`` may be one number or two.

    Raises
    ------
    Unreadable
    """
    doubtful = comma_in_number(text)
    if doubtful:
        first, second = doubtful.split(",")
        raise Unreadable(
            f"{field} {shown(text)} cannot be read: {doubtful} may be one number or two",
            field=field,
            value=text,
            allowed=f"{first}.{second} for one number; {first}, {second} with a space for two",
        )


def parts(text: str, mark: str) -> list[str]:
    """Return the texts between the marks, without blank ones.

    Examples
    --------
    >>> parts("a, b,,c", ",")
    ['a', 'b', 'c']
    """
    return [part.strip() for part in text.split(mark) if part.strip()]
