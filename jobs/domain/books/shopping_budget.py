"""What a shopping list comes to at the shop's prices, and how many packs its supplies are."""

from collections.abc import Iterable, Mapping
from decimal import ROUND_CEILING, Decimal
from typing import Any

from calcs.kit.rounding import places
from jobs.domain.settings import settings
from jobs.domain.stock.supplies import UNITS
from jobs.log.private_texts import Texts
from jobs.models import Supply

PARTS, DISC = "hardware_prices", "disc_price"
AMOUNTS = {"mL": ("liter", Decimal("0.001")), "L": ("liter", Decimal(1))}
"""Units of what is wanted, in those of containers; everything else is counted by the piece."""
COUNTED = ("piece", Decimal(1))
ZERO = Decimal("0.00")
Row = dict[str, Any]


def with_budget(boards: list[Row], supplies: list[Row], *, with_money: bool) -> dict[str, Any]:
    """Return both lists with packs and, ``with_money``, with what each comes to and the sums.

    ``price`` of a supply, its setting and key, is taken out. What is to buy and has no price is listed in
    ``unpriced``, never counted as nothing.
    """
    packs: dict[tuple[str, str], Supply] = _packs()
    told = {
        "boards": [{**row, **_lumber(row)} for row in boards],
        "supplies": [_supply(dict(row), packs) for row in supplies],
    }
    if not with_money:
        for row in (*told["boards"], *told["supplies"]):
            row |= dict.fromkeys(("price_bf", "budget") if "buy_bf" in row else ("budget",))
        return {**told, "budget": None}
    wanted = [(row, row["species"]) for row in told["boards"] if row["buy_bf"]]
    store = [(row, row["name"]) for row in told["supplies"] if row["buy"]]
    sums = {"boards": _sum(wanted), "store": _sum(store)}
    unpriced = [name for row, name in (*wanted, *store) if row["budget"] is None]
    return {
        **told,
        "budget": {**sums, "total": sums["boards"] + sums["store"], "unpriced": unpriced,
                   "currency": settings()["currency"]},
    }  # fmt: skip


def _sum(rows: Iterable[tuple[Row, str]]) -> Decimal:
    return sum((row["budget"] for row, _name in rows if row["budget"] is not None), ZERO)


def _lumber(row: Row) -> Row:
    shop = settings()
    price = shop["lumber_prices"].get(row["species"], shop["price_per_board_foot"])
    if price is None:
        return {"price_bf": None, "budget": None}
    return {"price_bf": Decimal(price), "budget": places(row["buy_bf"] * Decimal(price), 2)}


def _supply(row: Row, packs: Mapping[tuple[str, str], Supply]) -> Row:
    """Return a supply with the packs to buy and what they cost: by the container, else by the amount."""
    setting, key = row.pop("price")
    unit, factor = AMOUNTS.get(row["unit"], COUNTED)
    amount = row["amount"] * factor
    pack = packs.get((row["sheet"] or row["name"].casefold(), unit))
    count = None
    if pack and pack.holds:
        count = int((amount / (pack.holds * UNITS[pack.holds_unit][1])).to_integral_value(ROUND_CEILING))
    shop = settings()
    price = shop[setting] if setting == DISC else shop[setting].get(key)
    budget = None if price is None else places(amount * Decimal(price), 2)
    if count and pack and pack.price is not None and pack.currency == shop["currency"]:
        budget = places(count * pack.price, 2)
    row |= {"packs": count, "budget": budget}
    return row | {
        "holds": pack.holds if count and pack else None,
        "holds_unit": pack.holds_unit if count and pack else "",
    }


def _packs() -> dict[tuple[str, str], Supply]:
    """Return the newest container that says what it holds, by its sheet or name and the unit."""
    held = list(Supply.objects.filter(holds__isnull=False).order_by("id"))
    texts = Texts(supply.name_ref for supply in held)
    return {
        (supply.sheet or texts[supply.name_ref].casefold(), UNITS[supply.holds_unit][0]): supply
        for supply in held
    }
