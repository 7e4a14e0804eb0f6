"""Wet and dry film, spread and loss: worked examples of coatings makers' estimating guides and data sheets
and of advice pages (undated, names withheld). The tolerance each print allows is in its row.
"""

from decimal import Decimal

import pytest

from calcs.finish.films import (
    UM_PER_MIL,
    dry_film_um,
    ft2_per_gal,
    spread_m2_per_l,
    wet_film_of_spread_um,
    wet_film_um,
)
from tests.published.printed import rows

SOURCE = "coatings makers' guides and data sheets, worked examples"


def mils(text):
    return Decimal(text) * UM_PER_MIL


def answer(row):
    """The case of the table through our functions, in its unit."""
    solids = Decimal(row["volume_solids_pct"] or 100)
    thinning = Decimal(row["thinning_pct_of_paint"] or 0)
    if row["asks"] == "dry_film":
        return dry_film_um(wet_um=mils(row["wet_mils"]), solids_pct=solids) / UM_PER_MIL
    if row["asks"] == "wet_film_thinned":
        wet = wet_film_um(dry_um=mils(row["dry_mils"]), solids_pct=solids, thinning_pct=thinning)
        return wet / UM_PER_MIL
    if row["asks"] == "wet_film_from_spread":
        # 500 ft2/gal is 12.271 m2/L: NIST SP 811 (2008), appendix B.8
        return wet_film_of_spread_um(m2_per_l=Decimal("12.271")) / UM_PER_MIL
    if row["wet_mils"]:
        wet = mils(row["wet_mils"])
    else:
        wet = wet_film_um(dry_um=mils(row["dry_mils"]), solids_pct=solids)
    transfer = Decimal(row["transfer_efficiency_pct"] or 100)
    return ft2_per_gal(spread_m2_per_l(wet_um=wet, transfer_pct=transfer))


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
