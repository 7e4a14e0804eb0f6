"""Density at a moisture content: a state forestry page's worked answer of density = 1000 G (1 + M/100) with
the same formula worked out apart, and average weights at 12 % published by a hardwood trade body.

The formula is exact; the trade body's averages come from other data than the handbook's, so 3 %.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.species import species_list
from calcs.weight import density_kg_m3
from tests.published.printed import rows

FORMULA = "state forestry page, density at a moisture content"
AVERAGES = "hardwood trade body, average weights"
AT_12 = {wood.gravity: wood.name for wood in species_list() if wood.gravity_basis == "12%"}
ROWS = rows("density")
PUBLISHED = [row for row in ROWS if row["basis"].startswith("G at 12%")]
WORKED = [
    row
    for row in ROWS
    if row["mc_pct"] == "12" and row not in PUBLISHED and Decimal(row["specific_gravity"]) in AT_12
]


@pytest.mark.parametrize("row", WORKED, ids=lambda row: row["specific_gravity"])
def test_the_formula(agrees, row):
    agrees(
        calculation="weight",
        ours=density_kg_m3(AT_12[Decimal(row["specific_gravity"])], Decimal(12)),
        printed=row["density_kg_m3"],
        within=0,
        source=FORMULA,
        seen=row["provenance"],
        unit="kg/m³",
    )


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row["note"].partition(":")[0])
def test_averages_of_a_species(agrees, row):
    agrees(
        calculation="weight",
        ours=density_kg_m3(row["note"].partition(":")[0], Decimal(12)),
        printed=row["density_kg_m3"],
        within=Fraction(row["density_kg_m3"]) * Fraction("0.03"),
        source=AVERAGES,
        seen=row["provenance"],
        unit="kg/m³",
    )
