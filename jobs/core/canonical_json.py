"""Canonical JSON (RFC 8785) for everything that is hashed and stored.

Decimals become plain strings, times UTC text with six decimals, lengths stay integers. Values that JSON
cannot carry the same way everywhere are refused. These are floats (NaN included), NUL characters, lone
surrogates and integers beyond 2**53 - 1 (RFC 7493, section 2.2).
"""

import json
import re
from collections.abc import Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import rfc8785
from django.db import models
from django.db.models.fields.json import KeyTransform
from django.db.models.functions import Cast

from jobs.core.errors import Invalid

LARGEST_INTEGER = 2**53 - 1
LATE = re.compile("[\ue000-\U0010ffff]")
"""Characters that UTF-16 may order in another way than Python orders code points."""
_sorted = json.JSONEncoder(ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def time_text(moment: datetime) -> str:
    """Return a moment as UTC text with six decimals; refuse a naive one."""
    if moment.tzinfo is None:
        raise Invalid("times need a time zone", field="time", value=moment.isoformat(), allowed="aware times")
    try:
        utc = moment.astimezone(UTC)
    except OverflowError as outside:
        raise Invalid(
            "no such moment", field="time", value=moment.isoformat(), allowed="years 1 to 9999"
        ) from outside
    return utc.replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def read_time(text: str) -> datetime:
    """Return the moment that ``time_text`` wrote."""
    return datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)


def plain(value: Any, *, field: str = "data") -> Any:
    """Return the value in JSON's own types; refuse any other, naming its place."""
    try:
        return _plain(value)
    except Invalid as refused:
        refused.field = field + refused.field
        raise


def _plain(value: Any) -> Any:
    """Return the value in JSON's own types; a refusal gets its place on the way out."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, int):
        if abs(value) > LARGEST_INTEGER:
            raise Invalid("integer too large", value=str(value)[:40], allowed="up to 2^53 - 1")
        return value
    if isinstance(value, dict):
        return _object(value)
    if isinstance(value, list | tuple):
        return _list(value)
    if isinstance(value, Decimal):
        if not value.is_finite():
            raise Invalid("not a number", value=str(value), allowed="finite numbers")
        return format(value, "f")
    if isinstance(value, datetime):
        return _time(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    raise Invalid(f"cannot be kept: {type(value).__name__}", value=repr(value)[:40], allowed="JSON values")


def _object(value: dict[Any, Any]) -> dict[str, Any]:
    found = {}
    for name, each in value.items():
        if not isinstance(name, str):
            raise Invalid("a name is not text", value=repr(name)[:40], allowed="text")
        _text(name)
        try:
            found[name] = _plain(each)
        except Invalid as refused:
            refused.field = f".{name}{refused.field}"
            raise
    return found


def _list(value: Sequence[Any]) -> list[Any]:
    found = []
    for n, each in enumerate(value):
        try:
            found.append(_plain(each))
        except Invalid as refused:
            refused.field = f"[{n}]{refused.field}"
            raise
    return found


def _time(moment: datetime) -> str:
    try:
        return time_text(moment)
    except Invalid as refused:
        refused.field = ""
        raise


def _text(text: str) -> str:
    if "\x00" in text:
        raise Invalid("text holds a NUL character", value="NUL", allowed="printable text")
    if text.isascii():
        return text
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as broken:
        raise Invalid(
            "text holds half a character (a lone surrogate)", value="surrogate", allowed="well-formed Unicode"
        ) from broken
    return text


def dumps(value: Any, *, field: str = "data") -> str:
    """Return the canonical JSON text of the value.

    Without floats, the standard library writes the same text and is faster, unless a name may be ordered
    otherwise.
    """
    checked = plain(value, field=field)
    text = _sorted.encode(checked)
    return rfc8785.dumps(checked).decode("utf-8") if LATE.search(text) else text


class CanonicalField(models.TextField):  # type: ignore[type-arg]  # the class takes no types at run time
    """A column of canonical JSON text: the same bytes on every database, compared as text."""

    _pyi_private_set_type: Any  # mypy's plugin reads here that any JSON is set and read, not text alone
    _pyi_private_get_type: Any

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Any:
        return None if value is None else json.loads(value)

    def to_python(self, value: Any) -> Any:
        return value

    def get_prep_value(self, value: Any) -> str | None:
        return None if value is None else dumps(value, field=self.name or "data")


def text_of_column(name: str) -> Cast:
    """Return an expression for the stored text of such a column, for ``Parsed``."""
    return Cast(name, models.TextField())


def part_of_column(name: str, *keys: str) -> KeyTransform:
    """Return an expression for the value below these keys of such a column, read by the database."""
    found: Any = Cast(name, models.JSONField())
    for key in keys:
        found = KeyTransform(key, found)
    return found  # type: ignore[no-any-return]


class Parsed(dict[str, Any]):
    """Parsed canonical texts: each text is parsed once, however many rows hold it.

    The values are shared, so callers must not change them.
    """

    def __missing__(self, text: str) -> Any:
        self[text] = json.loads(text)
        return self[text]
