"""Numbers, money and lot numbers as typed or sent: one rule for every door."""

import re
from decimal import Decimal
from typing import Any

from calcs.kit.typed import plain_decimal
from jobs.core.errors import Invalid

CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")

LONGEST_CODE = 40


def to_decimal(value: Any, field: str) -> Decimal:
    """Parse a finite decimal; refuse any other text."""
    return _read(value, field, grouped=False, allowed="a decimal number: digits and one point, such as 12.5")


def to_money(value: Any, field: str) -> Decimal:
    """Parse an amount; commas may part the thousands, as pages and papers print them."""
    return _read(value, field, grouped=True, allowed="an amount such as 2300, 2300.00 or 2,300.00")


def _read(value: Any, field: str, *, grouped: bool, allowed: str) -> Decimal:
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        number: Decimal | None = Decimal(value)
    else:
        number = plain_decimal(str(value), grouped=grouped)
    if number is None or not number.is_finite():
        raise Invalid("not a number", field=field, value=str(value)[:40], allowed=allowed)
    return number


def read_code(text: str, field: str) -> str:
    """Parse a lot number as it stands on a pack."""
    if not all(c.isalnum() or c in " ./-_#" for c in text) or len(text) > LONGEST_CODE:
        raise Invalid(
            "not a lot number",
            field=field,
            value=text,
            allowed=f"letters, digits and . / - _ # up to {LONGEST_CODE}",
        )
    return text.strip()
