"""Materials, hours and percentages of a price, as asked about it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calcs.asking.field_types import Choice, Number, Percent, Text
from calcs.asking.inputs import Rows, check
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places

MATERIALS = ("lumber", "glue", "finish", "hardware", "abrasives", "other")
OVERHEAD_ON = ("labour", "materials and labour")
MOST = "1000000"


@dataclass(frozen=True, kw_only=True)
class Material:
    """Something bought.

    Parameters
    ----------
    kind : str
        One of `MATERIALS`.
    quantity, unit : Decimal, str
        Quantity and its unit.
    unit_price : Decimal
        Price of one [the shop's currency].
    what : str, optional
        Its name.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    kind: Annotated[str, Choice("kind", MATERIALS)]
    quantity: Annotated[Decimal, Number("quantity", "0", MOST)]
    unit: Annotated[str, Text("unit", 20)]
    unit_price: Annotated[Decimal, Number("price of one", "0", MOST)]
    what: Annotated[str | None, Text("what it is")] = None

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Labour:
    """Hours of a stage.

    Parameters
    ----------
    stage : str
        Its name.
    hours : Decimal
        Hours [h].
    rate : Decimal, optional
        Rate an hour of this stage [the shop's currency]; else the shop's.

    Raises
    ------
    Unreadable, OutOfRange
    """

    stage: Annotated[str, Text("stage")]
    hours: Annotated[Decimal, Number("hours", "0", "10000")]
    rate: Annotated[Decimal | None, Number("rate an hour", "0", "10000")] = None

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Costing:
    """Lines and percentages of a price.

    Parameters
    ----------
    materials, labour : tuple
        At least one line of either.
    rate : Decimal, optional
        Rate an hour for stages without one [the shop's currency].
    overhead_pct : Decimal
        Rent, machines, insurance and unpaid hours [% of what ``overhead_on`` names].
    overhead_on : {"labour", "materials and labour"}
        Base of the overhead.
    profit_pct : Decimal
        Profit [%], over cost as a markup, over the price as a margin.
    profit_as : {"markup", "margin"}
        How the profit is counted.
    deposit_pct : Decimal
        Of what is to be paid, tax included where it is known [%].
    tax_pct : Decimal, optional
        Tax on the price [%]; without it the price is net and the invoice adds what is due.
    round_to : Decimal
        Step the price is rounded to [the shop's currency].
    rounding : {"nearest", "up"}
        Way of rounding.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where hours have no rate, or a margin reaches 100 %.
    """

    materials: Annotated[tuple[Material, ...], Rows("materials", Material, 0, 200)] = ()
    labour: Annotated[tuple[Labour, ...], Rows("hours by stage", Labour, 0, 200)] = ()
    rate: Annotated[Decimal | None, Number("rate an hour", "0", "10000")] = None
    overhead_pct: Annotated[Decimal, Percent("overhead", "0", "500")] = Decimal(0)
    overhead_on: Annotated[str, Choice("overhead on what", OVERHEAD_ON)] = "materials and labour"
    profit_pct: Annotated[Decimal, Percent("profit", "0", "1000")] = Decimal(0)
    profit_as: Annotated[str, Choice("profit counted as", ("markup", "margin"))] = "markup"
    deposit_pct: Annotated[Decimal, Percent("deposit")] = Decimal(50)
    tax_pct: Annotated[Decimal | None, Percent("tax")] = None
    round_to: Annotated[Decimal, Number("round the price to", "0.01", "10000")] = Decimal("0.01")
    rounding: Annotated[str, Choice("rounding", ("nearest", "up"))] = "nearest"

    def __post_init__(self) -> None:
        check(self)
        if not self.materials and not self.labour:
            raise _wrong("materials", None, "no line at all", "at least one line of materials or labour")
        if self.rate is None and any(each.rate is None for each in self.labour):
            raise _wrong("rate", None, "hours without a rate", "a rate an hour")
        if self.profit_as == "margin" and self.profit_pct >= 100:
            raise _wrong("profit_pct", self.profit_pct, "a margin is part of the price", "under 100 %")
        if self.round_to != places(self.round_to, 2):
            raise _wrong("round_to", self.round_to, "smaller than a cent", "at most two decimals")


def _wrong(field: str, value: object, why: str, allowed: str) -> OutOfRange:
    """Return the refusal of an input of a price."""
    return OutOfRange(f"{field}: {why}; {allowed}", field=field, value=value, allowed=allowed)
