"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 13-5: dimensional change
coefficients.

10 in over 4 % is size x coefficient x change of equation 13-2: half of the last place we tell, 1/8 µm, is
allowed.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.kit.units import UNITS_PER_INCH, inches, to_inches
from calcs.wood.movement_inputs import MovementInputs, movement_for
from tests.published.printed import rows

SOURCE = "Wood Handbook (2010), Table 13-5"


@pytest.mark.parametrize("row", rows("coefficients"), ids=lambda row: row["species"])
@pytest.mark.parametrize("cut, column", [("flatsawn", "c_t"), ("quartersawn", "c_r")])
def test_every_species_and_cut(agrees, row, cut, column):
    found = movement_for(
        MovementInputs(
            size_len=inches(10),
            species=row["species"],
            cut=cut,
            mc_from_pct=Decimal(7),
            mc_to_pct=Decimal(11),
        )
    )
    agrees(
        calculation="movement",
        kind="table",
        ours=to_inches(found.change_len),
        printed=Fraction(row[column]) * 10 * 4,
        within=Fraction(1, 2 * UNITS_PER_INCH),
        source=SOURCE,
        seen=row["provenance"],
        unit="in of 10",
    )
    mark = {"read": "(read)", "memory": "(from memory)", "computed": "(worked out)"}[row["provenance"]]
    assert mark in found.source[0]
