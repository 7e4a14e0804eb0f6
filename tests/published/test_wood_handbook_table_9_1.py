"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 9-1: sag of beams, every row.

Its fractions are exact, and so is the solve at its nodes: only the machine's own rounding is allowed. Three
tops worked out by them apart from this code allow half of the last place they are given to.
"""

from fractions import Fraction

import pytest

from calcs.kit.units import UNITS_PER_INCH, inches
from calcs.structure.beam import bend
from calcs.structure.beam_pieces import Beam
from calcs.structure.loaded_top import PointLoad
from calcs.structure.sag import sag
from tests.published.bare_tops import bare, kg, mpsi
from tests.published.printed import half_a_place, rows

SOURCE = "Wood Handbook (2010), Table 9-1"
ENDS = {
    "both simply supported": {"supports": (0.0, 1.0)},
    "both clamped": {"supports": (0.0, 1.0), "clamped": True},
    "cantilever": {"supports": (0.0,), "clamped": True},
}
LOADS = {
    "uniform": (1.0, ()),
    "concentrated at midspan": (0.0, ((0.5, 1.0),)),
    "concentrated at outer quarter points": (0.0, ((0.25, 0.5), (0.75, 0.5))),
    "concentrated at free end": (0.0, ((1.0, 1.0),)),
}
PLACES = {"midspan": 0.5, "load point": 0.25, "free end": 1.0}


def unit_sag(row, **stiff):
    """Total load, span and the stiffness asked are 1, so that a sag is a coefficient."""
    uniform, points = LOADS[row["loading"]]
    bent = bend(Beam(length=1.0, **ENDS[row["beam_ends"]], **stiff), uniform=uniform, points=points)
    return bent.sags[nearest(bent.places, PLACES[row["deflection_at"]])]


def nearest(places_, at):
    return min(range(len(places_)), key=lambda n: abs(places_[n] - at))


# Sag = k_b W L^3 / EI + k_s W L / GA'.
@pytest.mark.parametrize("row", rows("beam"), ids=lambda row: f"{row['loading']}, {row['beam_ends']}")
def test_coefficients_of_bending_and_shear(agrees, row):
    for ours, printed, rounding in (
        (unit_sag(row, ei=1.0), row["k_b"], Fraction(1, 10**9)),
        (unit_sag(row, ei=1e9, ga=1.0), row["k_s"], Fraction(1, 10**6)),
    ):
        agrees(
            calculation="sag",
            kind="computed",
            ours=ours,
            printed=printed,
            within=Fraction(printed) * rounding,
            source=SOURCE,
            seen=row["provenance"],
        )


WORKED = {  # shelf; desk top with 200 lb in its middle; overhang
    "X3": bare(inches(36), inches("45/4"), inches("3/4"), stiffness_mpa=mpsi("1.82"), load_kg=kg(75)),
    "X5b": bare(
        inches(60),
        inches(30),
        inches("3/2"),
        stiffness_mpa=mpsi("1.83"),
        points=(PointLoad(load_kg=kg(200), at_len=inches(30)),),
    ),
    "X6": bare(inches(12), inches(36), inches(1), stiffness_mpa=mpsi("1.49"), load_kg=kg(60), held="clamped"),
}


@pytest.mark.parametrize(
    "row", [row for row in rows("beam_examples") if row["id"] in WORKED], ids=lambda row: row["case"]
)
def test_tops_worked_out_by_the_table(agrees, row):
    agrees(
        calculation="sag",
        kind="computed",
        ours=Fraction(sag(WORKED[row["id"]]).sag_len, UNITS_PER_INCH),
        printed=row["answer"],
        within=half_a_place(row["answer"]),
        source=SOURCE,
        seen=row["provenance"],
        unit=row["unit"],
    )
