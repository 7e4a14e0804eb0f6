"""Markup and margin of one sale: public pages on accounting. Shares are told to 0.1 %, prices to the cent; a
markup that is printed to two decimals gives the price no closer than half of its last place times the
cost.
"""

from decimal import Decimal

import pytest

from calcs.money.costing import costing
from calcs.money.costing_inputs import Costing, Material
from tests.published.printed import half_a_place, rows

SOURCE = "textbook pages on markup and margin"


@pytest.mark.parametrize("row", rows("margins"), ids=lambda row: row["source"].partition(",")[0])
@pytest.mark.parametrize("way", ["markup", "margin"])
def test_price_markup_and_margin(agrees, row, way):
    cost = Material(kind="other", quantity=Decimal(1), unit="piece", unit_price=Decimal(row["cost"]))
    percent = row[f"{way}_pct"]
    found = costing(Costing(materials=(cost,), profit_pct=Decimal(percent), profit_as=way))
    rounded = 0 if percent in ("20", "25") else half_a_place(percent) * int(row["cost"]) / 100
    for ours, printed, within, unit in (
        (found.price, row["sales"], rounded, f"of {row['sales']}"),
        (found.markup_pct, row["markup_pct"], Decimal("0.05"), "%"),
        (found.margin_pct, row["margin_pct"], Decimal("0.05"), "%"),
    ):
        agrees(
            calculation="costing",
            kind="computed",
            ours=ours,
            printed=printed,
            within=within,
            source=SOURCE,
            seen=row["provenance"],
            unit=unit,
        )
