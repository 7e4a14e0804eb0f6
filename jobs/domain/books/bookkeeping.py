"""The bookkeeper's file of a year, a quarter or a month, as CSV."""

import csv
import io
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.domain.books.csv_rows import rows_of
from jobs.domain.books.periods import read_period
from jobs.log.private_texts import UNSEEN

HEADER = (
    "date", "kind", "number", "refers to", "commission", "client", "currency", "tax category", "tax rate %",
    "net", "tax", "gross", "received", "due date", "date of supply", "paid on", "method", "country", "tax id",
    "supplier", "what", "account",
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Characters that start a formula in a spreadsheet (OWASP, CSV injection)."""


def books_csv(period: str) -> bytes:
    """Return a year, a quarter or a month as CSV, with a row for each tax rate, payment and purchase.

    The text is UTF-8 with a byte order mark; numbers have a decimal point.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(HEADER)
    for row in rows_of(read_period(period)):
        writer.writerow([_cell(row.get(name, "")) for name in HEADER])
    return out.getvalue().encode("utf-8-sig")


def _cell(value: Any) -> str:
    """Return a cell's text; a text that a spreadsheet would run gets a quote before it.

    A Decimal stays a number, a date a date. Characters that turn the direction of a text are removed, since
    old names may hold them.
    """
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    text = UNSEEN.sub("", str(value))
    return f"'{text}" if text.startswith(FORMULA) else text
