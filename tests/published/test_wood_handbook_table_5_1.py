"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-282 (2021), Table 5-1: elastic ratios, as quoted
in public source text.

The modulus along the grain is that of bending (Table 5-3b) raised by 10 % (note of the table). Three
decimals of the ratio are printed: half of the last is allowed.
"""

from fractions import Fraction

import pytest

from calcs.structure.across import across_grain
from calcs.wood.stiffness import stiffness
from tests.published.printed import half_a_place, rows

SOURCE = "Wood Handbook (2021), Table 5-1"


@pytest.mark.parametrize("row", rows("elastic_ratios"), ids=lambda row: row["species"])
@pytest.mark.parametrize("cut, column", [("flatsawn", "et_el"), ("quartersawn", "er_el")])
def test_stiffness_across_the_grain(agrees, row, cut, column):
    found = across_grain(row["species"], cut)
    along = Fraction(stiffness(row["species"]).elasticity_mpa) * Fraction("1.1")
    agrees(
        calculation="stiffening",
        kind="table",
        ours=Fraction(found.elasticity_mpa) / along,
        printed=row[column],
        within=half_a_place(row[column]),
        source=SOURCE,
        seen=row["provenance"],
        unit="of the stiffness along it",
    )
    assert "(read)" in found.source[0]
