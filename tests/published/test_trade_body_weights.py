"""Average weights at 12 % moisture published by a hardwood trade body. They come from other data than the
handbook's specific gravities, so 3 % is allowed.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.wood.density import density_kg_m3
from tests.published.printed import rows

SOURCE = "hardwood trade body, average weights"
ROWS = [row for row in rows("density") if row["basis"].startswith("G at 12%")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["note"].partition(":")[0])
def test_averages_of_a_species(agrees, row):
    agrees(
        calculation="weight",
        kind="computed",
        ours=density_kg_m3(row["note"].partition(":")[0], Decimal(12)),
        printed=row["density_kg_m3"],
        within=Fraction(row["density_kg_m3"]) * Fraction("0.03"),
        source=SOURCE,
        seen=row["provenance"],
        unit="kg/m³",
    )
