"""American Hardwood Export Council, technical guide, summary of US hardwood lumber grades (16 March 2004):
least clear yield, to half of the 0.01 % to which we round.
"""

from fractions import Fraction

import pytest

from calcs.kit.units import inches
from calcs.lumber.lumber import top_lumber
from calcs.lumber.lumber_inputs import TopLumber
from tests.published.printed import mixed, rows

SOURCE = "AHEC, summary of lumber grades (2004)"


@pytest.mark.parametrize("row", rows("grades"), ids=lambda row: row["grade"])
def test_the_usable_share_of_a_grade_is_its_least_yield(agrees, row):
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
        ours=need.usable_pct,
        printed=mixed(row["clear_pct"]),
        within=Fraction(1, 200),
        source=SOURCE,
        seen=row["provenance"],
        unit="% usable",
    )
    assert any("practice" in text for text in need.source) and any("read" in text for text in need.source)
