"""ASHRAE Handbook Fundamentals (2017), ch. 1, Table 3: vapour pressure of water, to 0.1 % as its fit claims;
half of the fourth decimal is added.
"""

from decimal import Decimal

import pytest

from calcs.curing.rates import saturation_pa
from tests.published.printed import rows

SOURCE = "ASHRAE Fundamentals (2017), ch. 1, Table 3"
ROWS = [row for row in rows("saturation") if row["source"].startswith("ASHRAE")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["air_c"])
@pytest.mark.parametrize("calculation", ["curing", "finishing"])  # a coat's water leaves by it in both
def test_vapour_pressure_of_water(agrees, calculation, row):
    agrees(
        calculation=calculation,
        kind="computed",
        ours=saturation_pa(float(row["air_c"])) / 1000,
        printed=row["answer"],
        within=Decimal(row["tolerance"]) + Decimal("0.00005"),
        source=SOURCE,
        seen=row["provenance"],
        unit="kPa",
    )
