"""Vapour pressure of water: CRC Handbook of Chemistry and Physics, 73rd ed. (1992-93), and ASHRAE Handbook
Fundamentals (2017), ch. 1, Table 3. Four decimals are printed; both fits claim 0.1 %, the tolerance of
each row.
"""

from decimal import Decimal

import pytest

from calcs.rates import saturation_pa
from tests.published.printed import rows

SOURCES = {
    "CRC": "CRC Handbook (1992-93), vapour pressure of water",
    "ASHRAE": "ASHRAE Fundamentals (2017), ch. 1, Table 3",
}


@pytest.mark.parametrize("row", rows("saturation"), ids=lambda row: row["case_id"])
@pytest.mark.parametrize("calculation", ["curing", "finishing"])  # a coat's water leaves by it in both
def test_saturation_pressure(agrees, calculation, row):
    agrees(
        calculation=calculation,
        ours=saturation_pa(float(row["air_c"])) / 1000,
        printed=row["answer"],
        within=Decimal(row["tolerance"]) + Decimal("0.00005"),
        source=SOURCES[row["source"].split()[0]],
        seen=row["provenance"],
        unit="kPa",
    )
