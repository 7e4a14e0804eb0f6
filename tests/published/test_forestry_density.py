"""A state forestry page: a worked answer of density = 1000 G (1 + M/100), G being on volume at M, and the
same formula worked out apart for another gravity. It is exact, so nothing is allowed.
"""

from decimal import Decimal

import pytest

from calcs.wood.density import density_kg_m3
from tests.published.printed import rows

SOURCE = "state forestry page, density at a moisture content"
ROWS = [row for row in rows("density") if row["basis"] == "G at stated MC" and row["mc_pct"] == "12"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["specific_gravity"])
def test_density_of_a_gravity(agrees, row):
    agrees(
        calculation="weight",
        kind="computed",
        ours=density_kg_m3(f"this wood: gravity {row['specific_gravity']}", Decimal(12)),
        printed=row["density_kg_m3"],
        within=0,
        source=SOURCE,
        seen=row["provenance"],
        unit="kg/m³",
    )
