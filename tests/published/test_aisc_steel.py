"""AISC, Steel Construction Manual: weight of sections by the foot, to 0.1 lb for channels and 0.01 lb for
flats. Ten feet are told to 0.1 lb and the density of steel is 7850 kg/m³ or 490 lb/ft³, a part in 10,000
apart: 0.03 lb.
"""

from decimal import Decimal

import pytest

from calcs.kit.units import inches
from calcs.wood.weight import Channel, TopWeight, weight
from tests.published.printed import rows

SOURCE = "AISC Steel Construction Manual"


@pytest.mark.parametrize("row", rows("steel"), ids=lambda row: row["section"])
def test_a_foot_of_steel(agrees, row):
    ten_feet = Channel(
        count=10,
        length_len=inches(12),
        width_len=inches(row["width_in"]),
        leg_len=inches(row["leg_in"]),
        wall_len=inches(row["wall_in"]),
    )
    sizes = {"length_len": inches(96), "width_len": inches(42), "thickness_len": inches("7/4")}
    found = weight(TopWeight(**sizes, species="walnut", channels=(ten_feet,)))
    agrees(
        calculation="weight",
        kind="computed",
        ours=found.steel_lb / 10,
        printed=row["lb_per_ft"],
        within=Decimal("0.03"),
        source=SOURCE,
        seen=row["provenance"],
        unit="lb/ft",
    )
