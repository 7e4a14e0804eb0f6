"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 4-3: shrinkage from green to
ovendry.

The coefficients of movement hang together with it: C = (S/100F) / (1 - S(F - 10)/100F) with F = 30, and 22
for extractive-rich species (chapter 13). Five decimals are printed there, and the shrinkage to 0.1 %:
0.000011 is allowed. Green ash and sweet birch share a group value in Table 13-5 and imports come from other
data, so they are left out.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.kit.units import inches, to_inches
from calcs.materials.species import species, species_list
from calcs.wood.movement_inputs import MovementInputs, movement_for
from tests.published.printed import rows

SOURCE = "Wood Handbook (2010), Table 4-3 by the relation of ch. 13"
LATE_SHRINKERS = {"western redcedar", "redwood (old-growth)", "redwood (young-growth)"}
GROUP_VALUES = {"green ash", "sweet birch"}
KNOWN = {wood.name for wood in species_list() if wood.group != "import"} - GROUP_VALUES


# Eq. 13-3 from 30 to 0 % is the table itself: half of its last place, and that of the coefficient (five
# places: 0.000005 x 3000).
@pytest.mark.parametrize(
    "row",
    [row for row in rows("shrinkage") if row["species"] in KNOWN - LATE_SHRINKERS],
    ids=lambda row: row["species"],
)
def test_a_wood_of_its_figures_gets_the_coefficient_of_the_species(agrees, row):
    """Shrinkage typed from table 4-3, against the coefficient that table 13-5 prints of the same species."""
    typed = species(f"own wood: tangential {row['tangential_pct']} %, radial {row['radial_pct']} %")
    printed = species(row["species"])
    for ours, coefficient in ((typed.tangential, printed.tangential), (typed.radial, printed.radial)):
        agrees(
            calculation="movement",
            kind="computed",
            ours=ours,
            printed=coefficient,
            within=Fraction("0.000011"),
            source="Wood Handbook (2010), Table 13-5 from the shrinkage of Table 4-3",
            seen=row["provenance"],
            unit="of size per %",
        )


@pytest.mark.parametrize(
    "row",
    [row for row in rows("shrinkage") if row["species"] in KNOWN - LATE_SHRINKERS],
    ids=lambda row: row["species"],
)
def test_from_green_to_ovendry_a_size_shrinks_as_printed(agrees, row):
    for cut, printed in (("quartersawn", row["radial_pct"]), ("flatsawn", row["tangential_pct"])):
        move = MovementInputs(
            size_len=inches(100),
            species=row["species"],
            cut=cut,
            mc_from_pct=Decimal(30),
            mc_to_pct=Decimal(0),
        )
        agrees(
            calculation="movement",
            kind="computed",
            ours=-to_inches(movement_for(move).change_len),
            printed=printed,
            within=Fraction("0.065"),
            source="Wood Handbook (2010), Table 4-3",
            seen=row["provenance"],
            unit="% of the green size",
        )


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
