"""What a shopping list says on paper: by wood what it must give, room for a tally, the store, the budget."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.rounding import up
from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM
from calcs.lumber.board_footage import BOARD_FOOT_M3, FOOT
from jobs.documents.kit.sizes import NBSP, Sizes
from jobs.documents.kit.wording import clean, money, number

LEAST_ROWS, MOST_ROWS, SPARE_ROWS = 6, 16, 4
"""Lines of a tally: more than boards are wanted, since some are put back; at least, at most."""
CENTIMETER = 10 * UNITS_PER_MM
WHATS = {"strips": ("strip", "strips"), "ends": ("breadboard end", "breadboard ends")}
CONTAINERS = {
    "liter": "L", "quart": "qt", "gallon": "gal", "kilogram": "kg", "pound": "lb", "piece": "",
}  # fmt: skip


def lumber_words(found: Mapping[str, Any], sizes: Sizes) -> dict[str, Any]:
    """Return the content of the list in the shop's one system; makers are told no prices."""
    budget = found["budget"]
    store = [row for row in found["supplies"] if row["buy"]]
    currency = budget["currency"] if budget else ""
    return {
        "woods": [_wood(row, sizes, currency) for row in found["boards"] if row["buy_bf"]],
        "there": [_there(row, sizes) for row in found["boards"] if not row["buy_bf"]],
        "store": [_supply(row, sizes) for row in store],
        "shelf": [clean(row["name"]) for row in found["supplies"] if not row["buy"]],
        "run_out": [f"{clean(one['name'])}, {_standing(one)}" for one in found["run_out"]],
        "not_figured": ", ".join(found["not_figured"]),
        "waiting": ", ".join(found["waiting_for_deposit"]),
        "budget": _budget(budget) if budget else [],
        "unpriced": ", ".join(sizes.text(clean(name)) for name in budget["unpriced"]) if budget else "",
        "in_inches": sizes.unit == "in",
        "currency": currency,
        "rule": "width in inches × length in feet × thickness in inches ÷ 12 = board ft"
        if sizes.unit == "in"
        else "width × thickness × length, in meters, = m³",
    }


def _standing(supply: Mapping[str, Any]) -> str:
    return "past its date" if supply["is_past"] else str(supply["level"])


def _wood(row: Mapping[str, Any], sizes: Sizes, currency: str) -> dict[str, Any]:
    thickness = row["quarters"] if sizes.unit == "in" else sizes.bench(row["rough_len"])
    lines = max(LEAST_ROWS, min(MOST_ROWS, sum(one["count"] for one in row["whole"]) + SPARE_ROWS))
    half = (lines + 1) // 2
    return {
        "name": f"{row['species'][:1].upper()}{row['species'][1:]}, {thickness}",
        "buy": _volume(row["buy_bf"], sizes),
        "how": _price(row, sizes, currency),
        "boards": " and ".join(_whole(one, sizes) for one in row["whole"]),
        "rack": _rack(row, sizes),
        "rows": [_cut(cut, sizes) for cut in row["cuts"]],
        "tally": [range(1, half + 1), range(half + 1, 2 * half + 1)],
        "unit": "board ft" if sizes.unit == "in" else "m³",
    }


def _volume(board_feet: Decimal, sizes: Sizes) -> str:
    if sizes.unit == "in":
        return f"{number(board_feet)}{NBSP}board ft"
    return f"{(board_feet * BOARD_FOOT_M3).quantize(Decimal('0.001'))}{NBSP}m³"


def _price(row: Mapping[str, Any], sizes: Sizes, currency: str) -> str:
    if row["budget"] is None:
        return ""
    each = row["price_bf"] if sizes.unit == "in" else (row["price_bf"] / BOARD_FOOT_M3)
    return f"at {money(each.quantize(Decimal('0.01')))}, at most {money(row['budget'], currency)}"


def _rack(row: Mapping[str, Any], sizes: Sizes) -> str:
    """Return what is there already, and what of it gives no strip."""
    told = []
    if row["set_aside_bf"]:
        told.append(f"{_volume(row['set_aside_bf'], sizes)} set aside")
    if row["rack"]:
        told.append(f"{_volume(row['rack_bf'], sizes)} on the rack, no. {_numbers(row['rack'])}")
    if row["no_use"]:
        told.append(
            f"no. {_numbers(row['no_use'])} {'gives' if len(row['no_use']) == 1 else 'give'} no strip"
        )
    return "; ".join(told)


def _there(row: Mapping[str, Any], sizes: Sizes) -> str:
    return f"{row['species']}, {_rack(row, sizes) or 'enough'}"


def _numbers(found: list[int]) -> str:
    return ", ".join(map(str, found))


def _cut(cut: Mapping[str, Any], sizes: Sizes) -> dict[str, str]:
    """Return what boards must give, each size as the least that serves, and what gives two."""
    one, several = WHATS[cut["what"]]
    wide, two = cut["wide_len"], "gives two"
    return {
        "what": f"{cut['count']} {one if cut['count'] == 1 else several}",
        "piece": cut["piece"],
        "wide": f"{sizes.bench(wide, 'up')}; {sizes.bench(2 * wide, 'up')} gives two"
        if wide
        else "as it comes",
        "long": f"{_long(cut['long_len'], sizes)}; {_long(2 * cut['long_len'], sizes)} {two}",
    }


def _whole(one: Mapping[str, Any], sizes: Sizes) -> str:
    boards = "board" if one["count"] == 1 else "boards"
    wide, long = sizes.bench(one["width_len"]), _long(one["length_len"], sizes)
    return f"{one['count']} {boards} {wide} wide, {long} long"


def _long(length_len: int, sizes: Sizes) -> str:
    """Return a length of a board as a yard says it, up: feet and whole inches, or meters to the centimeter.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> _long(inches("101 1/4"), Sizes()).replace(NBSP, " ")
    '8 ft 6'
    """
    if sizes.unit == "mm":
        hundredths = up(Fraction(length_len, CENTIMETER))
        return f"{Decimal(hundredths) / 100:.2f}{NBSP}m"
    feet, part = divmod(up(Fraction(length_len, UNITS_PER_INCH)), FOOT // UNITS_PER_INCH)
    return f"{feet}{NBSP}ft{f'{NBSP}{part}' if part else ''}"


def _supply(row: Mapping[str, Any], sizes: Sizes) -> dict[str, str]:
    wanted = _amount(row, sizes)
    if row["packs"]:
        pack = f"{number(row['holds'])}{NBSP}{CONTAINERS[row['holds_unit']]}".strip()
        buy, under = f"{row['packs']} × {pack}", f"{wanted} wanted"
    else:
        buy, under = wanted, ""
    budget = money(row["budget"]) if row["budget"] is not None else ""
    shelf = "; ".join(f"on the shelf: {clean(one['name'])}, {_standing(one)}" for one in row["shelf"])
    return {
        "name": sizes.text(clean(row["name"])),
        "buy": buy,
        "under": "; ".join(part for part in (under, ", ".join(row["pieces"]), shelf) if part),
        "budget": budget,
    }


def _amount(row: Mapping[str, Any], sizes: Sizes) -> str:
    amount, unit = row["amount"], row["unit"]
    if unit in ("mL", "L"):
        return sizes.amount(amount, unit, "up")
    return f"{number(amount)}{NBSP}{unit if amount != 1 else unit.removesuffix('s')}"


def _budget(budget: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [
        {"name": "Wood", "sum": money(budget["boards"]), "now": False},
        {"name": "Store", "sum": money(budget["store"]), "now": False},
        {"name": f"Together, {budget['currency']}", "sum": money(budget["total"]), "now": True},
    ]
