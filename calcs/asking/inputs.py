"""Inputs of a calculation, stated once beside each field: kind, words, unit and allowed range.

A value class annotates its fields, ``width_len: Annotated[int, Length("finished width", least=…, most=…)]``,
and calls `check` in its ``__post_init__``. `describe` lists the same statement and `read` takes typed text by
it, so that a range is written in one place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, dataclass, fields
from functools import cache
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin, get_type_hints

from calcs.asking.field_types import MOST_ROWS, Habit, Kind, Many, Yes, listed, parts, refuse_decimal_comma
from calcs.asking.figure_wording import format_figure
from calcs.kit.errors import CalcError, Unknown, Unreadable
from calcs.kit.validators import one_of, shown

Asked = TypeVar("Asked")


@dataclass(frozen=True)
class Rows(Kind):
    """Several rows of one value class; typed as objects, or as text: fields with commas, rows with ``;``."""

    of: type[Any]
    least: int = 0
    most: int = MOST_ROWS

    def check(self, value: Any, field: str) -> None:
        if not isinstance(value, tuple) or not all(isinstance(row, self.of) for row in value):
            raise Unreadable(
                f"{field} {shown(value)} is not a list of {self.says}",
                field=field,
                value=value,
                allowed=self.allowed,
            )
        self._many.count(value, field)

    def read(self, typed: Any, field: str, habit: Habit) -> tuple[Any, ...]:
        rows = self._named(typed, field)
        self._many.count(rows, field)
        return tuple(read(self.of, row, habit, under=f"{field}[{n}].") for n, row in enumerate(rows, start=1))

    def _named(self, typed: Any, field: str) -> list[Mapping[str, Any]]:
        if not isinstance(typed, str) or typed.lstrip().startswith("["):
            rows = listed(typed, field, self.allowed)
            if not all(isinstance(row, Mapping) for row in rows):
                raise Unreadable(
                    f"{field} is not a list of objects", field=field, value=typed, allowed=self.allowed
                )
            return list(rows)
        return [self._columns(row, field) for row in parts(typed, ";")]

    def _columns(self, row: str, field: str) -> Mapping[str, Any]:
        """One row typed with commas; an empty place takes the default."""
        refuse_decimal_comma(row, field)
        names, cells = (
            [outward(name) for name in kinds_of(self.of)],
            [cell.strip() for cell in row.split(",")],
        )
        if len(cells) > len(names):
            raise Unreadable(
                f"{field} '{shown(row)}' has {len(cells)} parts: at most {', '.join(names)}",
                field=field,
                value=row,
                allowed=self.allowed,
            )
        return dict(zip(names, cells, strict=False))

    @property
    def _many(self) -> Many:
        return Many(self.says, of=Yes(""), least=self.least, most=self.most)

    @property
    def allowed(self) -> str:
        return f"{self.least} to {self.most} rows of {', '.join(outward(n) for n in kinds_of(self.of))}"


ENDS = ("_len", "_c", "_s", "_kg", "_kpa", "_n", "_l", "_m2", "_mpa", "_ml", "_um")
"""Ends of field names that tell the unit kept; a door leaves them out of what a person types."""


def outward(field: str) -> str:
    """Return a field's name as a person types it: without the unit it is kept in."""
    return next((field.removesuffix(end) for end in ENDS if field.endswith(end)), field)


def kinds_of(asked: Any) -> dict[str, tuple[Kind, bool]]:
    """Return each annotated field of a value class with its kind, and True where it may be None."""
    return _kinds(asked)


@cache
def _kinds(asked: Any) -> dict[str, tuple[Kind, bool]]:
    found = {}
    for name, hint in get_type_hints(asked, include_extras=True).items():
        given = get_args(hint) if _or_none(hint) else (hint,)
        stated = next((h for h in given if get_origin(h) is Annotated), None)
        if stated is not None:
            inner, *beside = get_args(stated)
            kind = next((one for one in beside if isinstance(one, Kind)), None)
            if kind is not None:
                found[name] = (kind, _or_none(hint) or _or_none(inner))
    return found


def _or_none(hint: Any) -> bool:
    return get_origin(hint) in (Union, UnionType) and type(None) in get_args(hint)


def check(asked: Any) -> None:
    """Refuse a value whose annotated fields break their kind or range.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Naming the field, its value and what is allowed.
    """
    for name, (kind, optional) in kinds_of(type(asked)).items():
        value = getattr(asked, name)
        if value is None and optional:
            continue
        kind.check(value, outward(name))


def read(asked: type[Asked], given: Mapping[str, Any], habit: Habit, *, under: str = "") -> Asked:
    """Return a value class from typed text, field by field; blank or None takes the default.

    Parameters
    ----------
    asked : type
        A dataclass whose fields state their kinds.
    given : mapping
        Typed text, or values of JSON, by the names of `outward`.
    habit : Habit
        Units of a bare number.
    under : str
        Put before names in errors, for rows inside a list.

    Raises
    ------
    Unknown
        For a name that is not an input.
    Unreadable, OutOfRange
        Naming the input as it is typed.
    """
    kinds = {outward(name): (name, kind) for name, (kind, _) in kinds_of(asked).items()}
    for name in given:
        _known(name, kinds, under)
    values = {}
    for name, (field, kind) in kinds.items():
        typed = given.get(name)
        if typed is not None and typed != "":
            values[field] = kind.read(typed, under + name, habit)
    missing = [f.name for f in _fields(asked) if _needed(f) and f.name not in values]
    if missing:
        kind = kinds_of(asked)[missing[0]][0]
        name = under + outward(missing[0])
        raise Unreadable(f"{name} is needed: {kind.says}", field=name, value="", allowed=kind.allowed)
    try:
        return asked(**values)
    except CalcError as refused:
        refused.field = under + refused.field
        raise


def describe(asked: type[Any]) -> list[dict[str, Any]]:
    """Return every input in the order of the fields.

    Each has its name, words, kind, unit, allowed range in words, least and most as they may be typed, and
    choices. It also says whether it is needed, its default in words, and the inputs of a row where it has
    rows.
    """
    kinds = kinds_of(asked)
    return [_described(f, kinds[f.name][0]) for f in _fields(asked) if f.name in kinds]


def _described(field: Field[Any], kind: Kind) -> dict[str, Any]:
    least, most = kind.ends
    return {
        "name": outward(field.name),
        "says": kind.says,
        "kind": type(kind).__name__.lower(),
        "unit": kind.unit,
        "allowed": kind.allowed,
        "least": least,
        "most": most,
        "choices": list(kind.choices),
        "needed": _needed(field),
        "default": None if _needed(field) else format_figure(field.name, _default(field)),
        "rows": describe(kind.of) if isinstance(kind, Rows) else [],
    }


def _known(name: str, kinds: Mapping[str, Any], under: str) -> None:
    try:
        one_of(name, "input", kinds)
    except Unknown as refused:
        refused.field = under + name
        raise


def _fields(asked: Any) -> tuple[Field[Any], ...]:
    return fields(asked)


def _needed(field: Field[Any]) -> bool:
    return field.init and field.default is MISSING and field.default_factory is MISSING


def _default(field: Field[Any]) -> Any:
    if field.default_factory is not MISSING:
        return field.default_factory()
    return field.default
