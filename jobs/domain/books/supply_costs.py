"""Glue, finish, abrasives and parts of a piece: by its figures, once a stage that uses them is done."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from calcs.kit.rounding import places
from jobs.domain.pieces.bill_of_materials import KINDS as CALCULATIONS
from jobs.domain.pieces.bill_of_materials import Need, needs
from jobs.domain.settings import settings
from jobs.domain.stock.product_sheets import KINDS, newest
from jobs.domain.stock.supplies import UNITS
from jobs.log.private_texts import Texts
from jobs.models import Supply

SINGLE = {"disc": "piece"}
"""Units of materials that a container counts by the piece."""
Values = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class SupplyCost:
    """Something used on a piece; ``unit_price`` and ``amount`` are None where it has no price."""

    kind: str
    what: str
    quantity: Decimal
    unit: str
    unit_price: Decimal | None
    is_of_container: bool

    @property
    def amount(self) -> Decimal | None:
        return None if self.unit_price is None else places(self.quantity * self.unit_price, 2)


class Prices:
    """What a liter, kilogram or piece costs: by the newest container with a price, else by the settings."""

    def __init__(self) -> None:
        self.shop = settings()
        self.held: dict[tuple[str, str], Decimal] = {}
        self.names = {key: p.sheet.name for kind in KINDS for key, p in newest(kind).items()}
        priced = list(Supply.objects.filter(price__isnull=False).order_by("id"))
        texts = Texts(supply.name_ref for supply in priced)
        for supply in priced:
            if supply.currency != self.shop["currency"] or not supply.holds or supply.price is None:
                continue
            unit, factor = UNITS[supply.holds_unit]
            for name in (supply.sheet, texts[supply.name_ref].casefold()):
                if name:
                    self.held[name, unit] = supply.price / (supply.holds * factor)

    def cost_of(self, need: Need) -> SupplyCost:
        unit = SINGLE.get(need.unit, need.unit)
        container = self.held.get((need.what, unit)) or self.held.get((need.what.casefold(), unit))
        told = None if need.price is None else Decimal(need.price)
        return SupplyCost(
            kind=need.kind, what=self.names.get(need.what, need.what), quantity=need.quantity,
            unit=need.units, unit_price=told if container is None else container,
            is_of_container=container is not None,
        )  # fmt: skip


def supplies_used(
    inputs: Values, computed: Values, done: Collection[str], prices: Prices, *, all_done: bool
) -> Iterable[SupplyCost]:
    """Return what a piece has used; ``done`` are the calculations that its finished stages name."""
    kinds = {CALCULATIONS[name] for name in done if name in CALCULATIONS}
    for need in needs(inputs, computed, prices.shop):
        if need.kind != "lumber" and (all_done or need.kind in kinds):
            yield prices.cost_of(need)
