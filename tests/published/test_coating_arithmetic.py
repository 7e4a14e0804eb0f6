"""Wet and dry film, spread and loss: worked examples of coatings makers' estimating guides and data sheets
and of advice pages (undated, names withheld). The tolerance each print allows is in its row.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.finish.films import UM_PER_MIL
from calcs.finish.finish_job import finishing
from calcs.finish.finish_job_inputs import FinishJob
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.materials.product_sheets import finish_classes
from tests.published.printed import rows

SOURCE = "coatings makers' guides and data sheets, worked examples"


def mils(text):
    return Decimal(text) * UM_PER_MIL


def asked(row):
    """The case of the table as the calculation is asked, a coat that loses nothing."""
    finish = finish_classes()["water-borne"]
    if row["asks"] == "wet_film_from_spread":
        # 500 ft2/gal is 12.271 m2/L: NIST SP 811 (2008), appendix B.8
        finish = replace(finish, coverage_m2_per_l=Decimal("12.271"))
    elif row["wet_mils"]:
        finish = replace(finish, coverage_m2_per_l=places(1000 / Fraction(mils(row["wet_mils"])), 6))
    return FinishJob(
        length_len=inches(72),
        width_len=inches(36),
        thickness_len=inches(1),
        finish=finish,
        solids_pct=Decimal(row["volume_solids_pct"]) if row["volume_solids_pct"] else None,
        thinning_pct=Decimal(row["thinning_pct_of_paint"] or 0),
        dry_coat_um=mils(row["dry_mils"]) if row["dry_mils"] else None,
        loss_pct=100 - Decimal(row["transfer_efficiency_pct"] or 100),
        cans_l=(Decimal("18.927"),),
    )


def answer(row):
    """The answer of the calculation, in the unit of the case."""
    found = finishing(asked(row))
    if row["asks"] == "dry_film":
        return found.dry_um / UM_PER_MIL
    if row["asks"].startswith("wet_film"):
        return found.wet_um / UM_PER_MIL
    return Fraction(found.covers_m2_per_l) * Fraction("3.785411784") / Fraction("0.09290304")


@pytest.mark.parametrize("row", rows("coating"), ids=lambda row: row["case_id"])
def test_film_sums(agrees, row):
    agrees(
        calculation="finishing",
        kind="computed",
        ours=answer(row),
        printed=row["answer"],
        within=Decimal(row["tolerance"]),
        source=SOURCE,
        seen=row["provenance"],
        unit=row["answer_unit"].replace("ft2", "ft²"),
    )
