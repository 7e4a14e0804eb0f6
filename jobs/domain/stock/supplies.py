"""Commands on supplies: add, open, set the level, refill, price, discard."""

from datetime import date
from decimal import Decimal
from typing import Any

from jobs.core.errors import Invalid, WrongState
from jobs.core.parsing import read_code, to_decimal, to_money
from jobs.domain import lookups
from jobs.domain.checks import has_words, in_range, one_of, the_reason
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import KINDS, newest
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import store_private_text
from jobs.models import Supply

LONGEST_NAME = 120
MOST_PRICE = Decimal(1_000_000)
UNITS = {
    "liter": ("liter", Decimal(1)), "quart": ("liter", Decimal("0.946352946")),
    "gallon": ("liter", Decimal("3.785411784")), "kilogram": ("kilogram", Decimal(1)),
    "pound": ("kilogram", Decimal("0.45359237")), "piece": ("piece", Decimal(1)),
}  # fmt: skip
"""What a container is measured in, with the unit that materials are counted in and its factor.

NIST Handbook 44 (2024), appendix C: US liquid quart and gallon, avoirdupois pound, all exact.
"""
MOST_DAYS = 3650
EARLIEST, LATEST = date(2000, 1, 1), date(2100, 1, 1)


@command
def add_supply(
    tx: CommandTransaction,
    *,
    kind: str,
    name: str,
    sheet: str = "",
    lot: str = "",
    got_on: date | None = None,
    opened_on: date | None = None,
    shelf_life_d: int | None = None,
    use_by: date | None = None,
    level: str = Supply.Level.FULL,
) -> None:
    """Add a container to the shelf. Without its own shelf life, the one of its sheet applies."""
    one_of(kind, Supply.Kind.values, field="kind", shown=40)
    one_of(level, Supply.Level.values, field="level", shown=40)
    has_words(name, "a supply needs a name", field="name", allowed="a few words")
    _check_sheet(kind, sheet)
    if shelf_life_d is not None:
        in_range(shelf_life_d, 1, MOST_DAYS, "shelf life out of range", field="shelf_life_d")
    tx.append(
        "supply_added",
        "supplies",
        {
            "kind": kind,
            "name": store_private_text(name, field="name", longest=LONGEST_NAME, one_line=True),
            "sheet": sheet,
            "lot": read_code(lot, "lot"),
            "got_on": _past(tx, "got_on", got_on) or tx.call.day,
            "opened_on": _past(tx, "opened_on", opened_on),
            "shelf_life_d": shelf_life_d,
            "use_by": _any_day("use_by", use_by),
            "level": level,
        },
    )


@command
def open_supply(tx: CommandTransaction, *, supply: int, opened_on: date | None = None) -> None:
    """Record the day a container was opened."""
    found = _supply(tx, supply)
    if found.opened_on is not None:
        raise WrongState(
            f"it was opened on {found.opened_on}", field="supply", value=supply, allowed="a closed container"
        )
    day = _past(tx, "opened_on", opened_on) or tx.call.day
    _append(tx, "supply_opened", found, {"opened_on": day})


@command
def set_level(tx: CommandTransaction, *, supply: int, level: str) -> None:
    """Set how much is left after a use, or after topping up from the same lot."""
    found = _supply(tx, supply)
    one_of(level, Supply.Level.values, field="level", shown=40)
    _append(tx, "supply_level_set", found, {"level": level})


@command
def refill_supply(
    tx: CommandTransaction,
    *,
    supply: int,
    lot: str = "",
    got_on: date | None = None,
    use_by: date | None = None,
) -> None:
    """Replace an old lot by a fresh one: full and not opened yet."""
    found = _supply(tx, supply)
    _append(
        tx,
        "supply_refilled",
        found,
        {
            "lot": read_code(lot, "lot"),
            "got_on": _past(tx, "got_on", got_on) or tx.call.day,
            "use_by": _any_day("use_by", use_by),
        },
    )


@command
def price_supply(tx: CommandTransaction, *, supply: int, price: str, holds: str, unit: str) -> None:
    """Set the price of a full container, without tax, and how much it holds.

    What a piece takes of it then costs its share. ``unit`` is one of ``UNITS``.
    """
    tx.require_owner("the price of a supply")
    found = _supply(tx, supply)
    cost, amount = to_money(price, "price"), to_decimal(holds, "holds")
    _exact("price", cost, Decimal(0), MOST_PRICE, 2)
    _exact("holds", amount, Decimal("0.001"), MOST_PRICE, 3)
    one_of(unit, UNITS, field="unit", shown=20)
    data = {"price": round(cost, 2), "currency": settings()["currency"], "holds": amount, "unit": unit}
    _append(tx, "supply_priced", found, data)


def _exact(field: str, value: Decimal, least: Decimal, most: Decimal, places: int) -> None:
    if not least <= value <= most or value != round(value, places):
        allowed = f"{least} to {most}, up to {places} decimals"
        raise Invalid(f"not a usable {field}", field=field, value=str(value)[:40], allowed=allowed)


@command
def discard_supply(tx: CommandTransaction, *, supply: int, reason: str) -> None:
    """Discard a container, with a reason."""
    found = _supply(tx, supply)
    why = the_reason(reason, what="discarding")
    _append(tx, "supply_discarded", found, {"reason": why})


def _supply(tx: CommandTransaction, key: int) -> Supply:
    found = lookups.supply(key)
    tx.check_version(found.version, what="this supply")
    if found.discarded_at is not None:
        raise WrongState("it was discarded", field="supply", value=key, allowed="what is on the shelf")
    return found


def _append(tx: CommandTransaction, kind: str, supply: Supply, data: dict[str, Any]) -> None:
    tx.append(kind, f"supply:{supply.id}", {"supply": supply.id, **data})


def _check_sheet(kind: str, sheet: str) -> None:
    if not sheet:
        return
    if kind not in KINDS:
        raise Invalid(
            f"{kind} has no product sheets", field="sheet", value=sheet, allowed="none; glue and finish have"
        )
    one_of(sheet, sorted(newest(kind)), f"there is no such {kind} sheet", field="sheet", shown=60)


def _past(tx: CommandTransaction, field: str, day: date | None) -> date | None:
    if day is not None:
        in_range(day, EARLIEST, tx.call.day, "not a day gone by", field=field)
    return day


def _any_day(field: str, day: date | None) -> date | None:
    if day is not None:
        in_range(day, EARLIEST, LATEST, "out of range", field=field)
    return day
