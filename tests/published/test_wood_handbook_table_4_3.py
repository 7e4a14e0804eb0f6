"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 4-3: shrinkage from green to
ovendry.

The coefficients of movement hang together with it: C = (S/100F) / (1 - S(F - 10)/100F) with F = 30, and 22
for extractive-rich species (chapter 13). Five decimals are printed there, and the shrinkage to 0.1 %:
0.000011 is allowed. Green ash and sweet birch share a group value in Table 13-5 and imports come from other
data, so they are left out.
"""

from fractions import Fraction

import pytest

from calcs.materials.species import species, species_list
from tests.published.printed import rows

SOURCE = "Wood Handbook (2010), Table 4-3 by the relation of ch. 13"
LATE_SHRINKERS = {"western redcedar", "redwood (old-growth)", "redwood (young-growth)"}
GROUP_VALUES = {"green ash", "sweet birch"}
KNOWN = {wood.name for wood in species_list() if wood.group != "import"} - GROUP_VALUES


@pytest.mark.parametrize(
    "row", [row for row in rows("shrinkage") if row["species"] in KNOWN], ids=lambda row: row["species"]
)
def test_coefficients_agree_with_shrinkage(agrees, row):
    saturation = 22 if row["species"] in LATE_SHRINKERS else 30
    wood = species(row["species"])
    for percent, coefficient in ((row["radial_pct"], wood.radial), (row["tangential_pct"], wood.tangential)):
        unit = Fraction(percent) / (100 * saturation)
        agrees(
            calculation="movement",
            kind="table",
            ours=coefficient,
            printed=unit / (1 - unit * (saturation - 10)),
            within=Fraction("0.000011"),
            source=SOURCE,
            seen=row["provenance"],
            unit="of size per %",
        )
