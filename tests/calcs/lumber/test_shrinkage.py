"""Boards measured before drying lose their shrinkage, and a tally has a size. Worked by hand."""

from dataclasses import replace
from decimal import Decimal

import pytest

from calcs.kit.errors import OutOfRange
from calcs.kit.units import inches
from calcs.lumber.board_tally import Boards, BoardTally, tally

# Ten boards 4/4 x 12 in x 10 ft have 10 ft2, so 10 board feet each.
ROW = Boards(thickness_len=inches(1), width_len=inches(12), length_len=inches(120), count=10)


# 100 board feet x (1 - 0.08) = 92, x (1 - 0.065) = 93.5, x (1 - 0.2) = 80.
@pytest.mark.parametrize("shrinkage, net", [("8", "92"), ("6.5", "93.5"), ("20", "80"), ("0", "100")])
def test_net_is_what_the_kiln_leaves(shrinkage: str, net: str):
    asked = BoardTally(boards=(ROW,), measured="before drying", shrinkage_pct=Decimal(shrinkage))
    found = tally(asked)
    assert (found.total_bf, found.gross_bf, found.net_bf) == (100, 100, Decimal(net))
    dried = tally(replace(asked, measured="after drying"))
    assert (dried.total_bf, dried.gross_bf, dried.net_bf) == (100, None, 100)


def test_a_row_has_up_to_a_thousand_boards():
    assert tally(BoardTally(boards=(replace(ROW, count=1000),))).total_bf == 10000
    for count in (0, 1001):
        with pytest.raises(OutOfRange):
            replace(ROW, count=count)
