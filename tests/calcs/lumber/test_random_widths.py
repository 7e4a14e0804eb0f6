"""Strips of one top from boards used as wide as they are, worked by hand.

A strip loses 3/16 in to straight edges and 1/8 in to the rip cut: 5/16 in.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from calcs.kit.errors import OutOfRange
from calcs.kit.units import inches
from calcs.lumber.board_tally import Boards
from calcs.lumber.layout import StripLayout, strips
from calcs.lumber.lumber import top_lumber
from calcs.lumber.lumber_inputs import TopLumber
from calcs.lumber.random_widths import TO_BUY, HandStrip, laid_out

TOP = TopLumber(
    length_len=inches(72), width_len=inches(42), thickness_len=inches("3/2"), board_width_len=inches(7),
    strip_len=inches(6), random_widths=True, price_per_bf=Decimal("11.50"),
)  # fmt: skip


def rack(*widths, length=96, thick=2):
    return tuple(
        Boards(
            thickness_len=inches(thick), width_len=inches(width), length_len=inches(length), name=f"no. {n}"
        )
        for n, width in enumerate(widths, start=1)
    )


# Seven boards of 5 in give 7 x 4 11/16 = 32 13/16 in: 9 3/16 of 42 are missing, two strips of 6 in and less.
# 7 in x 8 ft is 4.67, so 5 ft2, 10 board feet; two of them. 5 in x 8 ft is 3.33, so 3 ft2, 6 board feet each.
def test_seven_boards_of_5_in_are_not_enough_for_42():
    need = top_lumber(replace(TOP, boards=rack(*[5] * 7)))
    assert (need.width_at_hand_len, need.missing_len) == (inches("525/16"), inches("147/16"))
    assert [(row.count, row.length_len) for row in need.still_to_buy] == [(2, inches(96))]
    assert (need.hand_bf, need.missing_bf, need.buy_bf) == (42, 20, 20)
    assert need.cost == Decimal("713.00")  # 62 board feet at 11.50
    assert '9 3/16" (≈ 233.4 mm) missing' in need.warnings[0]


# 8 in are one strip of 6 1/2, the widest wanted; 12 are two of (12 - 5/8) / 2 = 5 11/16. With 2 x 6 3/16 they
# are 30 1/4 in.
def test_boards_wider_than_wanted_are_ripped_and_the_widest_go_outside():
    need = top_lumber(replace(TOP, width_len=inches(30), boards=rack("8", "12", "13/2", "13/2")))
    assert [(strip.board, strip.width_len) for strip in need.hand_strips] == [
        ("no. 1", inches("13/2")), ("no. 3", inches("99/16")), ("no. 2", inches("91/16")),
        ("no. 2", inches("91/16")), ("no. 4", inches("99/16")),
    ]  # fmt: skip
    assert need.missing_len == 0 and need.warnings == () and need.still_to_buy == ()
    # 8, 12 and 6 1/2 in x 8 ft: 5.33, 8 and 4.33, so 5, 8 and twice 4 ft2, 42 board feet of 8/4
    assert (need.hand_bf, need.boards, need.buy_bf, need.cost) == (42, 0, 0, Decimal("483.00"))


# 6 + 5 + 4 in less 5/16 each: 5 11/16 and 4 11/16 are 10 3/8; for 9 in 5 11/16 and 3 11/16 do, 9 3/8.
def test_the_narrowest_that_still_reaches_is_taken_last_and_the_others_stay_on_the_rack():
    need = top_lumber(replace(TOP, width_len=inches(9), boards=rack(4, 5, 6)))
    assert [strip.board for strip in need.hand_strips] == ["no. 3", "no. 1"]
    assert "not needed, or of no use: no. 2" in need.notes
    thin = top_lumber(replace(TOP, width_len=inches(9), boards=(*rack(4, 5, 6, thick=1), *rack(6)[:1])))
    assert thin.missing_len == inches(9) - inches("91/16")


def test_what_is_missing_is_divided_into_strips_alike_in_the_middle():
    found = tuple(HandStrip(board=str(n), width_len=inches(5), board_bf=Decimal(6)) for n in range(3))
    told = laid_out(found, width_len=inches(24), strip_len=inches(6))  # 9 in, two of 4 1/2
    assert told == (
        (inches(5), "0"), (inches(5), "1"), (inches("9/2"), TO_BUY), (inches("9/2"), TO_BUY),
        (inches(5), "2"),
    )  # fmt: skip
    assert laid_out(found, width_len=inches(15), strip_len=inches(6)) == tuple(
        (inches(5), str(n)) for n in range(3)
    )
    least = laid_out(found, width_len=inches("61/4"), strip_len=inches(6))
    assert least[2] == (inches(1), TO_BUY)  # 1/4 in missing is a strip of 1 in


def test_the_layout_names_the_board_of_each_strip():
    asked = StripLayout(
        width_len=inches(10), length_len=inches(60), actual_widths_len=(inches(6), inches("9/2")),
        actual_from=("board 3", TO_BUY),
    )  # fmt: skip
    made = strips(asked)
    assert [strip.origin for strip in made.strips] == ["board 3", "to buy"]
    assert made.excess_len == inches("1/2")
    with pytest.raises(OutOfRange) as caught:
        replace(asked, actual_from=("board 3",))
    assert caught.value.field == "actual_from"


def test_random_widths_are_laid_out_for_one_top():
    with pytest.raises(OutOfRange) as caught:
        replace(TOP, quantity=2)
    assert caught.value.field == "random_widths"
