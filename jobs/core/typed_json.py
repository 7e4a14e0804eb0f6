"""Stored JSON read into frozen dataclasses; a missing, unknown or mistyped member is refused by name.

A member is text, an integer, a boolean, a Decimal, a day, a moment, a private text or a dataclass. It may
also be a list, a tuple of one type or a mapping of these. ``Json`` is an object of any members. A member with
the default ``ABSENT`` may be missing.
"""

import re
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, NewType, TypeVar, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from jobs.core.canonical_json import read_time
from jobs.core.refs import is_kept

T = TypeVar("T")
Read = Callable[[Any], Any]
Json = dict[str, Any]
PrivateRef = NewType("PrivateRef", UUID)
"""The id of a private text; in the event its salted hash stands beside it."""
KeptText = NewType("KeptText", dict[str, str])
"""A private text as the event stores it: its id and its salted hash."""
PLAIN_DECIMAL = re.compile(r"-?\d+(\.\d+)?", re.ASCII)


class Absence(Enum):
    """The value of a member that an object leaves out."""

    ABSENT = "absent"


ABSENT = Absence.ABSENT


class Misfit(Exception):
    """A member that is missing, unknown or mistyped: its place, its value, and what is allowed."""

    def __init__(self, value: object, allowed: str, member: str = "") -> None:
        super().__init__(value, allowed)
        self.value, self.allowed, self.member = value, allowed, member

    def within(self, name: str) -> "Misfit":
        """Return the same misfit with the name of its container put before its place."""
        inner = self.member if not self.member or self.member.startswith("[") else f".{self.member}"
        self.member = f"{name}{inner}"
        return self


@cache
def reader(form: type[T]) -> Callable[[Any], T]:
    """Return the function that reads an object into this dataclass."""
    hints = get_type_hints(form)
    reads = {f.name: reader_of(hints[f.name]) for f in fields(form)}  # type: ignore[arg-type]
    needed = frozenset(f.name for f in fields(form) if f.default is MISSING)  # type: ignore[arg-type]

    def read(value: Any) -> T:
        if not isinstance(value, dict):
            raise Misfit(value, "an object")
        if not needed <= value.keys() <= reads.keys():
            raise _missing_or_unknown(value, needed, reads)
        members = {}
        for name, stored in value.items():
            try:
                members[name] = reads[name](stored)
            except Misfit as wrong:
                raise wrong.within(name) from None
        return form(**members)

    return read


def known_members(form: type[T], value: Json) -> T:
    """Read figures that were stored for good into their class, whatever version of it stored them.

    Members that the class no longer has are left out. One that an older version did not store is None, a row
    of them empty.
    """
    hints = get_type_hints(form)
    return form(**{f.name: _known(hints[f.name], value.get(f.name)) for f in fields(form)})  # type: ignore[arg-type]


def _known(form: Any, value: Any) -> Any:
    if get_origin(form) in (Union, UnionType):
        [form] = (each for each in get_args(form) if each is not NoneType)
    if get_origin(form) is tuple:
        return tuple(_known(get_args(form)[0], each) for each in value or [])
    if value is None:
        return None
    if is_dataclass(form) and isinstance(form, type):
        return known_members(form, value)
    return PLAIN[form](value)


def _missing_or_unknown(value: Json, needed: frozenset[str], known: dict[str, Read]) -> Misfit:
    if missing := sorted(needed - value.keys()):
        return Misfit(None, "a member that is there", missing[0])
    unknown = min(value.keys() - known.keys())
    return Misfit(value[unknown], f"no member but {', '.join(known) or 'none'}", unknown)


def reader_of(form: Any) -> Read:
    """Return the function that reads a value of this type."""
    if form in PLAIN:
        return PLAIN[form]
    if is_dataclass(form) and isinstance(form, type):
        return reader(form)
    if get_origin(form) in (Union, UnionType):
        return _optional(form)
    inner = get_args(form)
    if get_origin(form) is list:
        return _list(reader_of(inner[0]))
    if get_origin(form) is tuple:
        read_all = _list(reader_of(inner[0]))
        return lambda value: tuple(read_all(value))
    if get_origin(form) is dict:
        return _object if inner[1] is Any else _mapping(reader_of(inner[1]))
    raise TypeError(f"no reader for {form}")


def _optional(form: Any) -> Read:
    """Return the reader of a type that may be None, or left out."""
    one, *others = (each for each in get_args(form) if each not in (NoneType, Absence))
    if others:
        raise TypeError(f"no reader for {form}")
    read = reader_of(one)
    if NoneType not in get_args(form):
        return read
    return lambda value: None if value is None else read(value)


def _list(read: Read) -> Read:
    def read_all(value: Any) -> list[Any]:
        if not isinstance(value, list):
            raise Misfit(value, "a list")
        return [_inside(read, each, f"[{n}]") for n, each in enumerate(value)]

    return read_all


def _mapping(read: Read) -> Read:
    return lambda value: {name: _inside(read, each, name) for name, each in _object(value).items()}


def _inside(read: Read, value: Any, name: str) -> Any:
    try:
        return read(value)
    except Misfit as wrong:
        raise wrong.within(name) from None


def _exactly(form: type, allowed: str) -> Read:
    def read(value: Any) -> Any:
        if type(value) is not form:
            raise Misfit(value, allowed)
        return value

    return read


def _decimal(value: Any) -> Decimal:
    if not isinstance(value, str) or not PLAIN_DECIMAL.fullmatch(value):
        raise Misfit(value, "a plain decimal number as text")
    return Decimal(value)


def _converted(convert: Callable[[str], Any], allowed: str) -> Read:
    def read(value: Any) -> Any:
        try:
            return convert(value)
        except (ValueError, TypeError):
            raise Misfit(value, allowed) from None

    return read


def _kept(value: Any) -> KeptText:
    _private(value)
    return KeptText(value)


def _private(value: Any) -> PrivateRef:
    try:
        if is_kept(value) and isinstance(value["sha256"], str):
            return PrivateRef(UUID(value["private"]))
    except (ValueError, AttributeError):
        pass
    raise Misfit(value, "a private text: its id and its sha256")


_object = _exactly(dict, "an object")
PLAIN: dict[Any, Read] = {
    str: _exactly(str, "text"),
    int: _exactly(int, "an integer"),
    bool: _exactly(bool, "true or false"),
    Decimal: _decimal,
    date: _converted(date.fromisoformat, "a day such as 2026-03-02"),
    datetime: _converted(read_time, "a moment such as 2026-03-02T12:00:00.000000Z"),
    PrivateRef: _private,
    KeptText: _kept,
    Any: lambda value: value,
}
