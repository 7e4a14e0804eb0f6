"""Public worked examples of timber beams: a joist of a structural-engineering benchmark, a beam with three
loads.
"""

from fractions import Fraction

from calcs.kit.rounding import places
from calcs.kit.units import UNITS_PER_MM, mm
from calcs.structure.loaded_top import PointLoad
from calcs.structure.sag import sag
from tests.published.bare_tops import bare, newtons
from tests.published.printed import half_a_place, rows

SOURCE = "public worked examples of timber beams"
EXAMPLES = {row["id"]: row for row in rows("beam_examples")}


# 2.4 kN/m on 4.8 m, E 11 GPa; I = 7119 cm4 is a section 300 mm deep and 31.64 mm wide. Two decimals printed.
def test_sag_of_a_joist(agrees):
    row = EXAMPLES["X1"]
    load = newtons(Fraction("2.4") * 1000 * Fraction("4.8"))
    joist = bare(mm(4800), mm("31.64"), mm(300), stiffness_mpa=places(11000, 0), load_kg=load)
    agrees(
        calculation="sag",
        kind="computed",
        ours=Fraction(sag(joist).sag_len, UNITS_PER_MM),
        printed=row["answer"],
        within=half_a_place(row["answer"]),
        source=SOURCE,
        seen=row["provenance"],
        unit=row["unit"],
    )


# 3 m of 100 x 200 mm with 10, 5 and 10 kN at 0.5, 1.5 and 2.5 m and 36 kg self-weight, where g is 9.81; their
# own weight is printed to 0.1 N/m and the load of 117.72 rounded to that: 0.2 N·m and 0.15 N.
def test_moment_and_reaction_under_three_loads(agrees):
    points = tuple(
        PointLoad(load_kg=newtons(force), at_len=mm(at))
        for force, at in ((10000, 500), (5000, 1500), (10000, 2500))
    )
    own = newtons(36 * Fraction("9.81"))
    beam = bare(mm(3000), mm(100), mm(200), stiffness_mpa=places(8000, 0), load_kg=own, points=points)
    found = sag(beam)
    for key, ours, within in (("X2a", found.moment_nm, "0.2"), ("X2b", found.reactions_n[0], "0.15")):
        agrees(
            calculation="sag",
            kind="computed",
            ours=ours,
            printed=EXAMPLES[key]["answer"],
            within=Fraction(within),
            source=SOURCE,
            seen=EXAMPLES[key]["provenance"],
            unit=EXAMPLES[key]["unit"].replace("*", "·"),
        )
