"""Strips of a board, boards to buy, and the width that strips leave missing, all worked by hand."""

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from calcs.kit.units import inches
from calcs.lumber.boards import Bought, bought_words, together
from calcs.lumber.wanted import Wanted

# Two tops of 30 in, each five strips of 6 in; a strip takes 6 5/16 in of a board and 72 in of its length.
TOPS = Wanted(
    blank_len=inches(72),
    strip_len=inches(6),
    lost_len=inches("5/16"),
    width_len=inches(30),
    quantity=2,
    strips=10,
    rough_len=inches(2),
    hand_len=inches("15/8"),
    gross_bf=Fraction(60),
    board_width_len=inches(13),
)


# 12 5/8 in is two strips to the last 1/128 in; below it the rest of one, 6 1/4 in, is a strip that narrow.
# 15 15/16 in leaves 3 5/16 in, so a strip of 3 in, half as wide; one unit less leaves none.
@pytest.mark.parametrize(
    "width, strips",
    [
        (inches("101/8"), {inches(6): 2}),
        (inches("101/8") - 1, {inches(6): 1, inches(6) - 1: 1}),
        (inches("255/16"), {inches(6): 2, inches(3): 1}),
        (inches("255/16") - 1, {inches(6): 2}),
        (inches("101/16"), {inches(6): 1}),
        (inches("21/16"), {inches(1): 1}),
        (inches("21/16") - 1, {}),
    ],
)
def test_a_board_gives_whole_strips_and_a_narrower_one_of_its_rest(width, strips):
    assert TOPS.strips_of(width, inches(72)) == Counter(strips)


# 216 in is three strips along and 215 in two; four boards give four times as many.
@pytest.mark.parametrize("length, count, along", [(216, 1, 3), (215, 1, 2), (144, 4, 8), (71, 4, 0)])
def test_strips_lie_along_a_board_as_well(length, count, along):
    found = TOPS.strips_of(inches(13), inches(length), count)
    assert found[inches(6)] == 2 * along


def test_without_a_strip_width_a_board_is_one_strip_less_what_is_lost():
    wide = replace(TOPS, strip_len=None)
    assert wide.strips_of(inches(13), inches(144), 3) == Counter({inches("203/16"): 6})
    assert wide.strips_of(inches("21/16") - 1, inches(144)) == Counter()


@pytest.mark.parametrize("thickness, length, takes", [(0, 0, True), (-1, 0, False), (0, -1, False)])
def test_a_board_is_thick_and_long_enough_to_the_last_unit(thickness, length, takes):
    assert TOPS.takes(inches("15/8") + thickness, inches(72) + length) is takes


# Eight strips of 6 in: five for the first top, 18 of 30 in for the second. Two of 7 in go first: 14 in, then
# three of 6 in are more than the 16 in left.
@pytest.mark.parametrize(
    "strips, missing",
    [
        ({6: 10}, (0, 0)), ({6: 9}, (0, 6)), ({6: 8}, (0, 12)), ({6: 5}, (0, 30)), ({}, (30, 30)),
        ({7: 2, 6: 3}, (0, 30)), ({7: 2, 6: 2}, (4, 30)), ({30: 2}, (0, 0)), ({31: 1, 15: 2}, (0, 0)),
    ],
)  # fmt: skip
def test_the_width_missing_is_that_of_each_top(strips, missing):
    found = {inches(width): count for width, count in strips.items()}
    assert list(TOPS.shorts(found)) == [inches(short) for short in missing]


# 12 in of the second top are two strips, 4 in of the first one more; of 60 board feet 48 are four fifths, so
# two of ten strips are missing, and of 30 five.
@pytest.mark.parametrize(
    "strips, feet, count",
    [({6: 8}, 60, 2), ({6: 8}, 30, 5), ({6: 10}, 48, 2), ({6: 10}, 60, 0), ({7: 2, 6: 2}, 90, 6)],
)
def test_strips_still_wanted_are_whole_ones_and_the_larger_number(strips, feet, count):
    still = TOPS.still({inches(width): n for width, n in strips.items()}, Fraction(feet))
    assert (still.strips, still.gross_bf) == (count, 6 * count)
    assert bool(still.buy()) is bool(count)


def test_boards_used_as_wide_as_they_are_count_by_width_alone():
    one = replace(TOPS, quantity=1, strips=5, widest_len=inches("13/2"))
    assert one.still({inches(6): 4}, Fraction(1)).strips == 1


# 13 in are two strips of (13 - 5/8) / 2 = 6 3/16; 6 13/16 and 8 in one of 6 1/2, for two of 8 in are 3 11/16,
# 7/8 more together; 8 1/8 in are two of 3 3/4, and that is an inch more.
@pytest.mark.parametrize(
    "width, strips",
    [
        (inches(13), {inches("99/16"): 2}),
        (inches("109/16"), {inches("13/2"): 1}),
        (inches(8), {inches("13/2"): 1}),
        (inches("65/8"), {inches("15/4"): 2}),
        (inches("21/16") - 1, {}),
    ],
)
def test_a_board_used_as_wide_as_it_is_is_ripped_where_a_joint_more_adds_an_inch(width, strips):
    assert replace(TOPS, widest_len=inches("13/2")).strips_of(width, inches(72)) == Counter(strips)


# A board 13 in x 12 ft has 13 ft2 (13 / 12 x 12), 26 board feet of 8/4, worth 26 x 10 / 60 = 4 1/3 strips;
# two along and two across are four. One 10 ft long has 10 5/6, so 11 ft2, 22 board feet, but gives two.
@pytest.mark.parametrize("length, gives", [(144, "4"), (120, "2"), (71, "0")])
def test_a_board_to_buy_gives_strips_along_and_across(length, gives):
    assert TOPS.each_gives(inches(13), inches(length)) == Fraction(gives)


def test_a_board_to_buy_gives_no_more_than_its_board_feet_are_worth():
    wasteful = replace(TOPS, gross_bf=Fraction(104))
    assert wasteful.each_gives(inches(13), inches(144)) == Fraction(5, 2)  # 26 x 10 / 104


# Ten strips: two boards of 12 ft hold eight and 52 board feet; the last two need one of 8 ft, 8.67, so 9 ft2,
# 18 board feet. Of 8 ft alone five are 90. With two strips to find one board of 8 ft is enough.
def test_the_last_board_may_be_shorter():
    plan = TOPS.buy()
    assert [(row.count, row.length_len) for row in plan] == [(2, inches(144)), (1, inches(96))]
    assert TOPS.feet(plan) == 70
    two = replace(TOPS, strips=2, gross_bf=Fraction(12))
    assert [(row.count, row.length_len) for row in two.buy()] == [(1, inches(96))]
    long = replace(TOPS, board_length_len=inches(144)).buy()
    assert [(row.count, row.length_len) for row in long] == [(3, inches(144))]


def test_boards_are_written_in_feet_or_in_both_units():
    rows = [
        Bought(count=2, width_len=inches(7), length_len=inches(132)),
        Bought(count=1, width_len=inches(7), length_len=inches(100)),
    ]
    assert bought_words(rows).startswith("2 boards 11 ft long and 1 board ")
    assert '100"' in bought_words(rows) and "100 ft" not in bought_words(rows)


def test_boards_of_several_plans_are_put_together():
    one, other = (Bought(count=n, width_len=inches(7), length_len=inches(96)) for n in (1, 2))
    assert together([one], [other], []) == (replace(one, count=3),)


# A strip of 72 in fits boards of 8 to 12 ft, one of 145 in the next whole foot, 13.
@pytest.mark.parametrize("blank, lengths", [(72, (8, 9, 10, 11, 12)), (121, (11, 12)), (145, (13,))])
def test_lengths_to_choose_from(blank, lengths):
    assert replace(TOPS, blank_len=inches(blank)).lengths == tuple(inches(12 * feet) for feet in lengths)
    assert replace(TOPS, board_length_len=inches(90)).lengths == (inches(90),)
