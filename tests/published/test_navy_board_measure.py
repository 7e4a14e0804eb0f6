"""US Navy, Engineering Aid Basic, ch. 6: board measure of one stick, without rounding. Half of the fourth
decimal is allowed.
"""

from calcs.kit.units import inches
from calcs.lumber.board_footage import board_measure
from tests.published.printed import half_a_place, rows

SOURCE = "US Navy, Engineering Aid Basic, ch. 6"
(STICK,) = [row for row in rows("board_feet") if row["id"] == "B5"]


def test_board_measure_of_a_2_by_4(agrees):
    exact = board_measure(
        thickness_len=inches(STICK["thickness_nominal_in"]),
        width_len=inches(STICK["width_in"]),
        length_len=inches(STICK["length_ft"]) * 12,
    )
    agrees(
        calculation="lumber",
        kind="computed",
        ours=exact,
        printed=STICK["board_feet"],
        within=half_a_place(STICK["board_feet"]),
        source=SOURCE,
        seen=STICK["provenance"],
        unit="board feet",
    )
