"""Diffusion through a slab: degree of consolidation by Terzaghi's equation, which is the same one (course
notes CEG 4012, 2011); the half time of Crank (1975); and how far away stock is when it hardly changes, as the
trade has it. The last place of the time factor printed moves the degree by up to 0.1 %.
"""

from decimal import Decimal
from math import pi

import pytest

from calcs.kit.units import inches
from calcs.wood.settling import settling
from calcs.wood.settling_inputs import MeterReading, Stock
from calcs.wood.slab import Slab
from tests.published.printed import half_a_place, rows

ROWS = rows("diffusion")


@pytest.mark.parametrize("row", [r for r in ROWS if r["case"] != "away"], ids=lambda r: r["at"])
def test_share_of_the_way_gone(agrees, row):
    # T = D t / (L/2)² in the notes, D t / L² in Crank
    slab = Slab(rate_d=pi**2 / 4 if row["case"] == "slab" else pi**2)
    agrees(
        calculation="settling",
        kind="computed",
        ours=100 * (1 - slab.uniform(float(row["at"]))),
        printed=row["printed"],
        within=Decimal("0.1"),
        source=row["source"],
        seen=row["provenance"],
        unit="%",
    )


@pytest.mark.parametrize("row", [r for r in ROWS if r["case"] == "away"], ids=lambda r: r["at"])
def test_how_far_away_stock_is_that_hardly_changes(agrees, row):
    reading = MeterReading(elapsed_s=0, mc_pct=Decimal(12))
    stock = Stock(readings=(reading,), thickness_len=inches(row["at"]), rh_pct=Decimal(40))
    agrees(
        calculation="settling",
        kind="computed",
        ours=settling(stock).away_at_rule_pct,
        printed=row["printed"],
        within=half_a_place(row["printed"]),
        source=row["source"],
        seen=row["provenance"],
        unit="%",
    )
