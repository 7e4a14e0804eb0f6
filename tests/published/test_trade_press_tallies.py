"""Tallies printed by the trade: a bundle in a woodworking magazine, and what a lumber yard has left of 1000
board feet after the kiln. Whole board feet are printed, so nothing is allowed.
"""

import pytest

from calcs.kit.units import inches
from calcs.lumber.board_tally import Boards, BoardTally, tally
from tests.published.printed import rows

SOURCE = "trade magazine and lumber yard, worked tallies"


@pytest.mark.parametrize("row", rows("tallies"), ids=lambda row: row["case"])
def test_a_tally_counts_as_printed(agrees, row):
    boards = Boards(
        thickness_len=inches(row["thickness_in"]),
        width_len=inches(row["width_in"]),
        length_len=inches(row["length_ft"]) * 12,
        count=int(row["count"]),
    )
    when = "before drying" if row["asks"] == "net_bf" else "after drying"
    found = tally(BoardTally(boards=(boards,), rule=row["rule"], measured=when))
    agrees(
        calculation="lumber",
        kind="computed",
        ours=getattr(found, row["asks"]),
        printed=row["answer"],
        within=0,
        source=SOURCE,
        seen=row["provenance"],
        unit="board feet",
    )
