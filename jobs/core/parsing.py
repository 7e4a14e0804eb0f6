"""Numbers and money as they are typed or sent: one rule for every door."""

from decimal import Decimal
from typing import Any

from calcs.kit.typed import plain_decimal
from jobs.core.errors import Invalid


def to_decimal(value: Any, field: str) -> Decimal:
    """A finite decimal from what was typed or sent, or a refusal."""
    return _read(value, field, grouped=False, allowed="a decimal number: digits and one point, such as 12.5")


def to_money(value: Any, field: str) -> Decimal:
    """As `to_decimal`, and with commas between thousands, as pages and papers print it."""
    return _read(value, field, grouped=True, allowed="an amount such as 2300, 2300.00 or 2,300.00")


def _read(value: Any, field: str, *, grouped: bool, allowed: str) -> Decimal:
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        number: Decimal | None = Decimal(value)
    else:
        number = plain_decimal(str(value), grouped=grouped)
    if number is None or not number.is_finite():
        raise Invalid("not a number", field=field, value=str(value)[:40], allowed=allowed)
    return number
