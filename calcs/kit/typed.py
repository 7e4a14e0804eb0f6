"""Text as people type it, made plain before it is read, and the refusals that reading gives."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.validators import shown

LONGEST_TEXT = 40
DECIMAL = r"\d{1,12}(?:\.\d{1,12})?|\.\d{1,12}"
_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d+", re.ASCII)
_COMMA = re.compile(r"(?<![\d./⁄])\d+,\d+", re.ASCII)
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?", re.ASCII)

_CHARACTERS = str.maketrans({
    "′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"',
    "⁄": "/", "−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
})  # fmt: skip


def plain(text: str, field: str, forms: str) -> str:
    """The text with typographic signs as keyboard ones; ½ becomes " 1/2"."""
    if not isinstance(text, str) or not text.strip() or len(text) > LONGEST_TEXT:
        raise unreadable(field, text, forms)
    return "".join(_spread(sign) for sign in text).translate(_CHARACTERS).strip()


def plain_decimal(text: str, *, grouped: bool = False) -> Decimal | None:
    """Digits with one point and a sign where there is one, and no other form; None where it is not that.

    ``grouped`` takes commas too, where they part groups of three digits.
    """
    text = text.strip()
    if grouped and _GROUPED.fullmatch(text):
        text = text.replace(",", "")
    return Decimal(text) if len(text) <= LONGEST_TEXT and _PLAIN.fullmatch(text) else None


def plain_whole(value: object) -> int | None:
    """Return the whole number that is typed in plain digits, with a sign where there is one; else None.

    Examples
    --------
    >>> plain_whole(" 12 "), plain_whole("1_0"), plain_whole("3.0")
    (12, None, None)
    """
    text = str(value).strip()
    return int(text) if len(text) <= LONGEST_TEXT and _WHOLE.fullmatch(text) else None


def comma_in_number(text: str) -> str:
    """Return the first whole number with digits right after a comma, such as 6,5; else an empty text.

    It may be one decimal or two entries of a list; a comma after a point or a fraction cannot be a decimal's.
    """
    match = _COMMA.search(text)
    return match[0] if match else ""


def unreadable(field: str, value: object, forms: str, why: str = "") -> Unreadable:
    """The refusal of a text that cannot be read, with the forms that can."""
    reason = f": {why}" if why else ""
    return Unreadable(
        f"{field} '{shown(value)}' cannot be read{reason}; write {forms}",
        field=field,
        value=value,
        allowed=forms,
    )


def out_of_range(field: str, value: object, allowed: str) -> OutOfRange:
    """The refusal of a value outside its range."""
    return OutOfRange(
        f"{field} {shown(value)} is out of range: {allowed}", field=field, value=value, allowed=allowed
    )


def _spread(sign: str) -> str:
    if unicodedata.decomposition(sign).startswith("<fraction>"):
        return " " + unicodedata.normalize("NFKC", sign)
    return sign
