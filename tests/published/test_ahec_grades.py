"""American Hardwood Export Council, technical guide, summary of US hardwood lumber grades (16 March 2004):
least clear yield. Boards that just make a grade want 1/yield - 1 on top: what is added by practice is no
less.
"""

from decimal import Decimal

import pytest

from calcs.kit.units import inches
from calcs.lumber.lumber import top_lumber
from calcs.lumber.lumber_inputs import TopLumber
from tests.published.printed import mixed, rows

SOURCE = "AHEC, summary of lumber grades (2004)"


@pytest.mark.parametrize("row", rows("grades"), ids=lambda row: row["grade"])
def test_waste_of_a_grade_covers_its_least_yield(agrees, row):
    least = 100 * (100 / mixed(row["clear_pct"]) - 1)
    top = TopLumber(
        length_len=inches(70),
        width_len=inches(30),
        thickness_len=inches("7/4"),
        board_width_len=inches(8),
        board_length_len=inches(120),
        grade=row["grade"],
    )
    need = top_lumber(top)
    agrees(
        calculation="lumber",
        kind="table",
        ours=Decimal(need.waste_pct),
        printed=(least, None),
        within=0,
        source=SOURCE,
        seen=row["provenance"],
        unit="% waste",
    )
    assert any(f" {round(least)} % would" in note for note in need.notes)
    assert any("practice" in text for text in need.source) and any("read" in text for text in need.source)
