"""What a gallon or a litre covers after its loss: worked examples of coatings pages and a consultant's column
(undated or as their rows say, names withheld). Ours is the area of a top through the amount computed for it.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.finish.films import UM_PER_MIL
from calcs.finish.finish_plan import FinishPlan, areas_m2
from calcs.finish.finishing import litres
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.materials.product_sheets import finish_classes
from tests.published.printed import half_a_place, rows

SOURCE = "coatings pages, practical coverage after loss"
# NIST SP 811 (2008), appendix B.8: 1 gal (US) = 3.785411784 L, 1 ft2 = 0.09290304 m2
PER_UNIT = {"ft2/gal": Fraction("3.785411784") / Fraction("0.09290304"), "m2/L": Fraction(1)}


def covering(row):
    """The printed coverage without loss [m²/L], else the printed film and solids."""
    finish = finish_classes()["water-borne"]
    if row["coverage"]:
        known = places(Fraction(row["coverage"]) / PER_UNIT[row["unit"]], 6)
        return {"finish": replace(finish, coverage_m2_per_l=known)}
    dry = Decimal(row["dry_mils"]) * UM_PER_MIL
    return {"finish": finish, "dry_coat_um": dry, "solids_pct": Decimal(row["volume_solids_pct"])}


@pytest.mark.parametrize("row", rows("practical_coverage"), ids=lambda row: row["case_id"])
def test_the_amount_covers_what_print_says(agrees, row):
    plan = FinishPlan(
        length_len=inches(84),
        width_len=inches(36),
        thickness_len=inches("3/2"),
        sealing_coats=1,
        build_coats=0,
        loss_pct=Decimal(row["loss_pct"]),
        **covering(row),
    )
    _, around = areas_m2(plan)
    agrees(
        calculation="finishing",
        kind="computed",
        ours=around / litres(plan) * PER_UNIT[row["unit"]],
        printed=row["answer"],
        within=half_a_place(row["answer"]),
        source=SOURCE,
        seen=row["provenance"],
        unit=row["unit"].replace("2", "²"),
    )
