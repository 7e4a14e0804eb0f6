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
    """Return the text with typographic signs as keyboard ones; ½ becomes " 1/2".

    Raises
    ------
    Unreadable
        If the text is empty or longer than 40 characters.
    """
    if not isinstance(text, str) or not text.strip() or len(text) > LONGEST_TEXT:
        raise unreadable(field, text, forms)
    return "".join(_spread(sign) for sign in text).translate(_CHARACTERS).strip()


def plain_decimal(text: str, *, grouped: bool = False) -> Decimal | None:
    """Return the number that is typed in plain digits with one point and a sign; else None.

    Parameters
    ----------
    text : str
        Text as typed.
    grouped : bool
        True takes commas too, where they part groups of three digits.

    Examples
    --------
    >>> plain_decimal("1,250.5", grouped=True), plain_decimal("1,250.5")
    (Decimal('1250.5'), None)
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

    Such a text may be one decimal or two entries of a list. A comma after a point or a fraction cannot be a
    decimal's.
    """
    match = _COMMA.search(text)
    return match[0] if match else ""


def unreadable(field: str, value: object, forms: str, why: str = "") -> Unreadable:
    """Return the refusal of a text that cannot be read, with the forms that can."""
    reason = f": {why}" if why else ""
    return Unreadable(
        f"{field} '{shown(value)}' cannot be read{reason}; write {forms}",
        field=field,
        value=value,
        allowed=forms,
    )


def out_of_range(field: str, value: object, allowed: str) -> OutOfRange:
    """Return the refusal of a value outside its range."""
    return OutOfRange(
        f"{field} {shown(value)} is out of range: {allowed}", field=field, value=value, allowed=allowed
    )


def _spread(sign: str) -> str:
    """Return a sign; one of a fraction, such as ½, as a space and its digits."""
    if unicodedata.decomposition(sign).startswith("<fraction>"):
        return " " + unicodedata.normalize("NFKC", sign)
    return sign
