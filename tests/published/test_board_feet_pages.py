"""Board feet of boards and of a table's top as pages of the trade work them out, and the thickness that a
part starts from. Half of the last place printed is allowed.
"""

import pytest

from calcs.kit.units import inches
from calcs.lumber.board_footage import board_measure
from calcs.lumber.lumber import top_lumber
from calcs.lumber.lumber_inputs import TopLumber
from tests.published.printed import half_a_place, rows


def ours(row):
    thickness, width, length = (inches(row[f"{side}_in"]) for side in ("thickness", "width", "length"))
    if row["asks"] == "board measure":
        return board_measure(thickness_len=thickness, width_len=width, length_len=length)
    need = top_lumber(
        TopLumber(length_len=length, width_len=width, thickness_len=thickness, board_width_len=inches(7))
    )
    return need.quarters if row["asks"] == "quarters" else need.net_bf


@pytest.mark.parametrize("row", rows("board_feet_pages"), ids=lambda row: row["id"])
def test_board_feet_as_worked_out_in_print(agrees, row):
    named = row["asks"] == "quarters"
    agrees(
        calculation="lumber",
        kind="computed",
        ours=ours(row),
        printed=row["printed"],
        within=0 if named else half_a_place(row["printed"]),
        source="pages of the trade, board feet worked out",
        seen=row["provenance"],
        unit="" if named else "board feet",
    )
