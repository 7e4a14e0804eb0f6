"""Checks the value classes share: each names the field, the value and what is allowed."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from difflib import get_close_matches

from calcs.kit.errors import OutOfRange, Unknown, Unreadable

SHOWN = 60


def shown(value: object) -> str:
    """Return the value as an error may print it: one line, not longer than a person would read."""
    text = ascii(value)[1:-1] if isinstance(value, str) and not value.isprintable() else str(value)
    return text if len(text) <= SHOWN else text[:SHOWN] + "…"


def span(least: object, most: object) -> str:
    """Return the allowed range in words.

    Examples
    --------
    >>> span(1, 5), span(None, 5), span(1, None)
    ('1 to 5', 'at most 5', 'at least 1')
    """
    if least is None:
        return "anything" if most is None else f"at most {most}"
    return f"at least {least}" if most is None else f"{least} to {most}"


def whole(value: object, field: str, *, least: int | None = None, most: int | None = None) -> None:
    """Refuse a value that is not a whole number inside the range, both ends included."""
    allowed = span(least, most)
    if isinstance(value, bool) or not isinstance(value, int):
        raise Unreadable(
            f"{field} {shown(value)} is not a whole number", field=field, value=value, allowed=allowed
        )
    if (least is not None and value < least) or (most is not None and value > most):
        raise OutOfRange(
            f"{field} {shown(value)} is out of range: {allowed}", field=field, value=value, allowed=allowed
        )


def decimal(value: object, field: str, *, least: str | None = None, most: str | None = None) -> None:
    """Refuse a value that is not a finite Decimal inside the range, both ends included."""
    allowed = span(least, most)
    if not isinstance(value, Decimal) or not value.is_finite():
        raise Unreadable(
            f"{field} {shown(value)} is not a decimal number", field=field, value=value, allowed=allowed
        )
    if (least is not None and value < Decimal(least)) or (most is not None and value > Decimal(most)):
        raise OutOfRange(
            f"{field} {shown(value)} is out of range: {allowed}", field=field, value=value, allowed=allowed
        )


def one_of(value: object, field: str, names: Iterable[str]) -> None:
    """Refuse a name that is not on the list; the error lists the nearest names, else all."""
    names = list(names)
    if value in names:
        return
    near = get_close_matches(str(value)[:SHOWN], names, n=3, cutoff=0.6)
    allowed = ", ".join(near or names)
    raise Unknown(
        f"{field} {shown(value)} is not known; {'did you mean' if near else 'one of'}: {allowed}",
        field=field,
        value=value,
        allowed=allowed,
    )
