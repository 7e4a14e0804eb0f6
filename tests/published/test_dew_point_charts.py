"""Paint makers' dew point charts and pages (undated, names withheld); one asks if a surface may be coated.

They are coarse and claim no tolerance: that of each row is chosen for what can be read off it. The charts in
whole °F run up to 2.4 °F low of the ASHRAE formulas.
"""

from decimal import Decimal

import pytest

from calcs.wood.air import Air, may_coat
from tests.published.dew import DEW_POINTS, NAMED, compare
from tests.published.printed import rows

SOURCE = "paint makers' dew point charts and pages"
ROWS = [row for row in DEW_POINTS if not row["source"].startswith(NAMED)]
(ASKED,) = [row for row in rows("dew_point") if row["kind"] == "ok_to_coat_3c"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case_id"])
def test_dew_points(agrees, row):
    compare(agrees, row, SOURCE)


# Air of 21 °C with a wet bulb of 17 °C is about 68 % RH by psychrometric table.
def test_a_surface_far_enough_above_may_be_coated(agrees):
    air = Air(temp_c=Decimal(ASKED["air_c"]), rh_pct=Decimal(68))
    answer = may_coat(air, surface_c=Decimal(ASKED["surface_c"]))
    agrees(
        calculation="finishing",
        kind="computed",
        ours="yes" if answer.ok else "no",
        printed=ASKED["answer"],
        within=0,
        source=SOURCE,
        seen=ASKED["provenance"],
    )
