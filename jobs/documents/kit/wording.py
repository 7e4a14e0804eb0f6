"""Figures, dates and texts as printed on paper."""

import re
from datetime import date
from decimal import Decimal

from django.utils.dateformat import format as format_date

from calcs.kit.units import format_length
from jobs.documents.kit.faces import drawable

LONGEST_WORD = 24
MINUS = "\u2212"
UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff]")


def clean(text: str | None) -> str:
    """Return a text as printed: without control characters, a box for what no font here can draw."""
    lines = re.sub("\r\n|[\r\u2028\u2029]", "\n", text or "")
    return drawable(UNPRINTABLE.sub("", lines).strip())


MARKS = "from memory|read|worked out|common practice|no source"
MARKED = re.compile(rf"\s*\((?:[^()]*\b(?:{MARKS})\b[^()]*|NIOSH 94-110, p. 6; HSE L23)\)")


def without_marks(text: str) -> str:
    """Return a sentence without the basis of its figure; the sources give that.

    Stored sentences of earlier versions carry it; newer ones come without it.

    Examples
    --------
    >>> without_marks("may blush (common practice, no source): wait (two days)")
    'may blush: wait (two days)'
    """
    return MARKED.sub("", text)


def needs_wrap(text: str) -> bool:
    """Return whether a word is too long for a column of a table."""
    return any(len(word) > LONGEST_WORD for word in text.split())


def money(amount: str | Decimal, currency: str = "") -> str:
    """Return ``1,234.50 USD``, with a true minus; a unit price keeps its further decimals."""
    number = Decimal(amount)
    exponent = number.as_tuple().exponent
    decimals = max(2, -exponent) if isinstance(exponent, int) else 2
    while decimals > 2 and number == round(number, decimals - 1):
        decimals -= 1
    return f"{number:,.{decimals}f} {currency}".strip().replace("-", MINUS)


def amount_in_words(amount: Decimal, currency: str) -> str:
    """Return an amount in English words: ``two dollars and five cents``.

    Of a currency whose names are not known the cents stand in figures: ``two and 05/100 CHF``.
    """
    from num2words.lang_EN import Num2Word_EN  # takes 5 MB, so only where a receipt is laid out

    speaker = Num2Word_EN()
    try:
        return str(speaker.to_currency(f"{amount:.2f}", currency=currency, separator=" and"))
    except NotImplementedError:
        whole, _point, cents = f"{amount:.2f}".partition(".")
        return f"{speaker.to_cardinal(int(whole))} and {cents}/100 {currency}"


def number(value: str | Decimal) -> str:
    """Return a number without trailing zeros: ``2``, ``1.5``."""
    text = f"{Decimal(value):,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(value: str | Decimal) -> str:
    return f"{number(value)} %"


def day(iso: str | None) -> str:
    """Return ``2 March 2026``, which no reader takes for another day."""
    if not iso:
        return ""
    return format_date(date.fromisoformat(iso), "j F Y")


def inches(units: int | None) -> str:
    return "" if units is None else format_length(units, "in")


def millimetres(units: int | None) -> str:
    return "" if units is None else format_length(units, "mm")
