"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 5-3b (imports: 5-5b, and the 1999
edition's Table 4-5b): stiffness, strength and specific gravity.

Nothing is lost but our rounding: moduli are told to 1 MPa, strengths to 0.1 MPa. Density at 12 % is
1120 kg/m³ times a specific gravity at 12 %.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.kit.errors import Unknown
from calcs.materials.species import species
from calcs.wood.density import density_kg_m3
from calcs.wood.stiffness import stiffness
from tests.published.printed import rows

SOURCE = "Wood Handbook (2010), Tables 5-3b and 5-5b"
PSI_MPA = Fraction("0.006894757")  # NIST SP 811 (2008), appendix B.8
SAID = {  # the row that stands for a commercial name of ours
    "mockernut hickory": "true hickory",
    "northern red oak": "red oak (commercial)",
    "white oak": "white oak (commercial)",
}


def known():
    for row in rows("strength"):
        name = SAID.get(row["species"], row["species"])
        try:
            species(name)
        except Unknown:
            continue  # a species that is not offered
        yield pytest.param(name, row, id=row["species"])


KNOWN = list(known())


@pytest.mark.parametrize("name, row", KNOWN)
def test_stiffness_and_strength(agrees, name, row):
    ours = stiffness(name)
    for found, printed, within, seen in (
        (ours.elasticity_mpa, Fraction(row["moe_mpsi"]) * 10**6 * PSI_MPA, "0.5", row["moe_provenance"]),
        (ours.rupture_mpa, Fraction(row["mor_psi"]) * PSI_MPA, "0.05", row["mor_provenance"]),
    ):
        agrees(
            calculation="sag",
            kind="table",
            ours=found,
            printed=printed,
            within=Fraction(within) + Fraction(1, 1000),
            source=SOURCE,
            seen=seen,
            unit="MPa",
        )


@pytest.mark.parametrize("name, row", [each for each in KNOWN if each.values[1]["sg_basis"] == "12%"])
def test_density_is_that_of_the_specific_gravity(agrees, name, row):
    agrees(
        calculation="weight",
        kind="table",
        ours=density_kg_m3(name, Decimal(12)),
        printed=Fraction(row["specific_gravity"]) * 1120,
        within=0,
        source=SOURCE,
        seen=row["sg_provenance"],
        unit="kg/m³",
    )
