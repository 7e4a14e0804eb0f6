"""NHLA rules for the measurement of hardwood, as worked by the American Hardwood Export Council and by pages
that quote them: surface measure and board feet. Whole feet are printed, so nothing is allowed.
"""

from decimal import Decimal

import pytest

from calcs.kit.units import inches
from calcs.lumber.board_footage import board_feet, surface_measure
from calcs.lumber.board_tally import Boards, BoardTally, tally
from tests.published.printed import rows

SOURCE = "NHLA measurement rules, worked examples"
BOARDS = [row for row in rows("board_feet") if row["surface_measure_rounded"]]


@pytest.mark.parametrize("row", BOARDS, ids=lambda row: row["id"])
def test_surface_measure_and_board_feet(agrees, row):
    width, length = inches(row["width_in"]), inches(row["length_ft"]) * 12
    thick = inches(row["thickness_nominal_in"] or "1")
    board = Boards(thickness_len=thick, width_len=width, length_len=length)
    alone = tally(BoardTally(boards=(board,)))
    figures = [
        (surface_measure(width_len=width, length_len=length), row["surface_measure_rounded"], "ft²"),
        (alone.rows[0].surface_ft2, row["surface_measure_rounded"], "ft²"),
    ]
    if row["board_feet"]:
        each = board_feet(thickness_len=thick, width_len=width, length_len=length)
        figures += [
            (each, row["board_feet"], "board feet"),
            (alone.total_bf, row["board_feet"], "board feet"),
        ]
    for ours, printed, unit in figures:
        agrees(
            calculation="lumber",
            kind="computed",
            ours=Decimal(ours),
            printed=printed,
            within=0,
            source=SOURCE,
            seen=row["provenance"],
            unit=unit,
        )
