"""CRC Handbook of Chemistry and Physics, 73rd ed. (1992-93): vapour pressure of water. Ours is the ASHRAE
fit, which claims 0.1 %, the tolerance of each row; half of the fourth decimal is added.
"""

from decimal import Decimal

import pytest

from calcs.curing.rates import saturation_pa
from tests.published.printed import rows

SOURCE = "CRC Handbook (1992-93), vapour pressure of water"
ROWS = [row for row in rows("saturation") if row["source"].startswith("CRC")]


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
