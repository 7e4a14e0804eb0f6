"""Bill of materials of a piece: amounts from its calculations, at the shop's prices.

A material without price or figures is listed, rather than counted as zero.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.kit.validators import one_of
from calcs.lumber.boards import bought_of, bought_words
from calcs.lumber.ends import ENDS
from calcs.money.costing_inputs import Material

CHANNEL, BOLT, PEG = "steel channel", "bolt with insert", "breadboard peg"
FIXINGS = {"slots": "screw with washer", "buttons": "table button", "figure-eights": "figure-eight"}
"""Way of fixing a top to its base -> the part for each fixing."""
HARDWARE = (CHANNEL, BOLT, PEG, *FIXINGS.values())
"""Parts that the calculations of a piece count."""
THOUSAND = Decimal(1000)
BY_VOLUME, BY_WEIGHT = ("glue_ml", "liter", "glue_prices"), ("glue_g", "kilogram", "glue_kg_prices")
SEVERAL = {
    "board foot": "board feet", "liter": "liters", "kilogram": "kilograms", "piece": "pieces",
    "disc": "discs",
}  # fmt: skip
KINDS = {
    "lumber": "lumber", "finishing": "finish", "gluing": "glue", "joinery": "hardware",
    "stiffening": "hardware", "breadboard": "hardware", "attachment": "hardware", "sanding": "abrasives",
}  # fmt: skip
"""The kind of material of each calculation."""
Values = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Need:
    """One material for the whole count of a piece, and its price where the shop has one."""

    kind: str
    what: str
    quantity: Decimal
    unit: str
    price: str | None
    remark: str = ""

    @property
    def units(self) -> str:
        return self.unit if self.quantity == 1 else SEVERAL[self.unit]

    @property
    def material(self) -> Material | None:
        if self.price is None:
            return None
        return Material(
            kind=self.kind, quantity=self.quantity, unit=self.units, unit_price=Decimal(self.price),
            what=self.what,
        )  # fmt: skip


def hardware(name: str) -> str:
    """Return the name of a counted part; refuse others, listing the parts."""
    one_of(name, "hardware", HARDWARE)
    return name


def needs(inputs: Values, computed: Values, shop: Values) -> list[Need]:
    """Return every material that the calculations of a piece count."""
    figures = {name: computed.get(name, {}).get("result") or {} for name in KINDS}
    found = (
        *_lumber(inputs, figures["lumber"], shop), *_finish(inputs, figures["finishing"], shop),
        *_glue(inputs, figures["gluing"], shop), *_joiners(inputs, figures["joinery"], shop),
        *_parts(inputs, figures, shop), *_discs(inputs, figures["sanding"], shop),
    )  # fmt: skip
    return [need for need in found if need.quantity]


def not_counted(inputs: Values, computed: Values, shop: Values) -> list[str]:
    """Return each material left out of the price and why: no price, or no figures."""
    unpriced = [
        f"{need.kind} not counted: no price of {need.what} in the shop's settings"
        f" ({need.quantity.normalize():f} {need.units})"
        for need in needs(inputs, computed, shop)
        if need.price is None
    ]
    refused = [(kind, computed.get(name, {}).get("refused")) for name, kind in KINDS.items()]
    return unpriced + [f"{kind} not counted, it could not be figured: {why}" for kind, why in refused if why]


def _lumber(inputs: Values, figures: Values, shop: Values) -> Iterator[Need]:
    """Yield the whole boards to buy, offcuts paid for too, and those at hand that its strips come from."""
    if figures:
        boards, at_hand = figures["boards"], Decimal(figures.get("hand_bf") or 0)
        sizes = f" ({bought_words(bought_of(figures))})" if figures.get("to_buy") else ""
        beside = f" and {at_hand.normalize():f} board feet at hand" if at_hand else ""
        yield Need(
            kind="lumber", what=inputs["species"] or "lumber", quantity=Decimal(figures["buy_bf"]) + at_hand,
            unit="board foot",
            price=shop["lumber_prices"].get(inputs["species"], shop["price_per_board_foot"]),
            remark=f"{boards} whole board{'' if boards == 1 else 's'} to buy{sizes}{beside},"
            f" {Decimal(figures['gross_bf']).normalize():f} board feet of it needed with waste",
        )  # fmt: skip


def _finish(inputs: Values, figures: Values, shop: Values) -> Iterator[Need]:
    if figures:
        key = inputs["finish_face"]
        yield Need(
            kind="finish", what=key, quantity=Decimal(figures["total_l"]), unit="liter",
            price=shop["finish_prices"].get(key),
        )  # fmt: skip


def _glue(inputs: Values, figures: Values, shop: Values) -> Iterator[Need]:
    """Yield the glue of the whole count; its figures are for one piece, as those of joints and parts are."""
    if figures:
        key, count = inputs["glue"], inputs["quantity"]
        by_weight = key in shop["glue_kg_prices"] and key not in shop["glue_prices"]
        figure, unit, prices = BY_WEIGHT if by_weight else BY_VOLUME
        yield Need(
            kind="glue", what=key, quantity=Decimal(figures[figure]) * count / THOUSAND, unit=unit,
            price=shop[prices].get(key),
        )  # fmt: skip


def _joiners(inputs: Values, figures: Values, shop: Values) -> Iterator[Need]:
    if figures:
        count = Decimal(figures["buy"] * inputs["quantity"])
        name = figures["joiner"]
        price = shop["joinery_prices"].get(name)
        yield Need(kind="hardware", what=name, quantity=count, unit="piece", price=price)


def _parts(inputs: Values, figures: Mapping[str, Values], shop: Values) -> Iterator[Need]:
    channels, ends, fixed = figures["stiffening"], figures["breadboard"], figures["attachment"]
    counts = {
        CHANNEL: channels["count"] if channels else 0,
        BOLT: channels["count"] * len(channels["bolts"]) if channels else 0,
        PEG: ENDS * len(ends["pegs"]) if ends else 0,
    }
    if fixed:
        counts[FIXINGS[inputs["fixing"]]] = fixed["count"]
    for name, count in counts.items():
        price = shop["hardware_prices"].get(name)
        quantity = Decimal(count * inputs["quantity"])
        yield Need(kind="hardware", what=name, quantity=quantity, unit="piece", price=price)


def _discs(inputs: Values, figures: Values, shop: Values) -> Iterator[Need]:
    if figures:
        count = Decimal(figures["discs"] * inputs["quantity"])
        yield Need(
            kind="abrasives", what="sanding discs", quantity=count, unit="disc", price=shop["disc_price"]
        )
