"""What a gallon or a litre covers after its loss: worked examples of coatings pages and a consultant's column
(undated or as their rows say, names withheld). Ours is the area of a top through the amount computed for it.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.finish.films import FT2_GAL_PER_M2_L, UM_PER_MIL, spread_m2_per_l, wet_film_um
from calcs.finish.finishing import FinishPlan, areas_m2, litres
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.materials.product_sheets import finish_classes
from tests.published.printed import half_a_place, rows

SOURCE = "coatings pages, practical coverage after loss"
PER_UNIT = {"ft2/gal": FT2_GAL_PER_M2_L, "m2/L": Fraction(1)}


def coverage(row):
    """The printed coverage without loss, else that of the printed film [m²/L]."""
    if row["coverage"]:
        return places(Fraction(row["coverage"]) / PER_UNIT[row["unit"]], 6)
    dry = Decimal(row["dry_mils"]) * UM_PER_MIL
    return spread_m2_per_l(wet_um=wet_film_um(dry_um=dry, solids_pct=Decimal(row["volume_solids_pct"])))


@pytest.mark.parametrize("row", rows("practical_coverage"), ids=lambda row: row["case_id"])
def test_the_amount_covers_what_print_says(agrees, row):
    plan = FinishPlan(
        length_len=inches(84),
        width_len=inches(36),
        thickness_len=inches("3/2"),
        finish=replace(finish_classes()["water-borne"], coverage_m2_per_l=coverage(row)),
        sealing_coats=1,
        build_coats=0,
        loss_pct=Decimal(row["loss_pct"]),
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
