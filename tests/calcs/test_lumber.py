import doctest
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

import calcs.lumber
from calcs.errors import OutOfRange, Unknown, Unreadable
from calcs.lumber import TopLumber, board_feet, board_measure, quarters_for, surface_measure, top_lumber
from calcs.units import inches
from tests.calcs.printed import rows

EXAMPLES = {row["id"]: row for row in rows("board_feet")}
HARDWOOD = [row for row in EXAMPLES.values() if row["surface_measure_rounded"]]


# Worked examples after the NHLA rules; source and provenance in tables/board_feet.csv.
@pytest.mark.parametrize("row", HARDWOOD, ids=lambda row: row["id"])
def test_surface_measure_and_board_feet_match_worked_examples(row):
    width, length = inches(row["width_in"]), inches(row["length_ft"]) * 12
    assert surface_measure(width_len=width, length_len=length) == int(row["surface_measure_rounded"])
    if row["board_feet"]:
        thick = inches(row["thickness_nominal_in"])
        assert board_feet(thickness_len=thick, width_len=width, length_len=length) == Decimal(
            row["board_feet"]
        )


# US Navy Engineering Aid Basic, ch. 6: a 2 x 4 of 14 ft, four decimals.
def test_board_measure_without_rounding():
    row = EXAMPLES["B5"]
    exact = board_measure(
        thickness_len=inches(row["thickness_nominal_in"]),
        width_len=inches(row["width_in"]),
        length_len=inches(row["length_ft"]) * 12,
    )
    assert float(exact) == pytest.approx(float(row["board_feet"]), abs=5e-5)


def test_part_feet_are_dropped_and_a_half_goes_up():
    # 6 in x 9 ft / 12 = 4.5 by hand; 9 ft 11 in counts as 9 ft by the same rule.
    assert surface_measure(width_len=inches(6), length_len=inches(119)) == 5


# NHLA standard thicknesses, surfaced two sides: 8/4 to 1 3/4 in, 4/4 to 13/16 in, 10/4 to 2 1/4 in (memory).
@pytest.mark.parametrize(
    "finished, quarters", [("3/4", "4/4"), ("13/16", "4/4"), ("7/8", "5/4"), ("7/4", "8/4"), ("9/4", "10/4")]
)
def test_rough_thickness_for_a_finished_one(finished, quarters):
    assert quarters_for(inches(finished)).quarters == quarters


# Common practice, no source: expect 1 5/8 in from 8/4 in tops of 8 ft and more.
def test_a_long_top_is_warned_that_8_4_comes_out_thinner():
    long = quarters_for(inches("7/4"), length_len=inches(96))
    assert (long.quarters, "expect 1 5/8" in long.notes[0]) == ("8/4", True)
    assert any("no source" in text for text in long.source)
    assert not any("expect" in note for note in quarters_for(inches("7/4"), length_len=inches(95)).notes)
    assert not any("expect" in note for note in quarters_for(inches("13/8"), length_len=inches(120)).notes)


def test_thicker_than_any_board_is_refused():
    with pytest.raises(OutOfRange) as caught:
        quarters_for(inches(4))
    assert caught.value.field == "thickness"
    assert 'at most 3 3/4"' in caught.value.allowed


TOP = TopLumber(
    length_len=inches(70),
    width_len=inches(30),
    thickness_len=inches("7/4"),
    board_width_len=inches(8),
    board_length_len=inches(120),
    strip_len=inches(6),
    waste_pct=Decimal(20),
    price_per_bf=Decimal("11.50"),
)


# By hand from the board-foot definition (1 ft x 1 ft x 1 in): net 2 x 30 x 70 / 144 = 29.1667;
# 5 strips of 6 in lose 5/16 in each: 31.5625 x 72 x 2 / 144 = 31.5625, and 20 % on it 37.875;
# one board 8 in x 10 ft: 6.67, so 7 ft surface measure, 14 board feet.
def test_lumber_for_a_top_by_hand():
    need = top_lumber(TOP)
    assert (need.quarters, need.blank_len) == ("8/4", inches(72))
    assert (need.net_bf, need.gross_bf) == (Decimal("29.17"), Decimal("37.88"))
    # one strip a board across, one along: 5 boards, more than 37.875 / 14
    assert (need.strips, need.boards, need.buy_bf) == (5, 5, Decimal(70))
    assert need.cost == Decimal("805.00")
    assert any("common practice" in text for text in need.source)


def test_wide_boards_are_counted_by_board_feet():
    # two strips across a 14 in board and one along: 3 boards of 12 ft2 surface measure, 24 board feet
    need = top_lumber(replace(TOP, board_width_len=inches(14), waste_pct=Decimal(150)))
    # 31.5625 x 2.5 = 78.90625 over 24 is 3.3, so 4 boards
    assert (need.boards, need.buy_bf) == (4, Decimal(96))


def test_without_a_strip_width_a_board_is_a_strip():
    # 8 in less 5/16 in gives 7 11/16 in; 30 over that is 3.9
    need = top_lumber(replace(TOP, strip_len=None, quantity=2, price_per_bf=None))
    assert (need.strips, need.cost) == (8, None)


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"board_length_len": inches(71)}, "board_length"),
        ({"board_width_len": inches(6)}, "board_width"),
        ({"quarters": "6/4"}, "quarters"),
        ({"thickness_len": inches(4)}, "thickness"),
    ],
)
def test_boards_that_cannot_make_the_top_are_refused(changes, field):
    with pytest.raises(OutOfRange) as caught:
        top_lumber(replace(TOP, **changes))
    assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"length_len": 0}, "length", OutOfRange),
        ({"width_len": -inches(30)}, "width", OutOfRange),
        ({"thickness_len": 1.75}, "thickness", Unreadable),
        ({"quantity": 0}, "quantity", OutOfRange),
        ({"quarters": "9/4"}, "quarters", Unknown),
        ({"board_width_len": 0}, "board_width", OutOfRange),
        ({"board_length_len": inches(481)}, "board_length", OutOfRange),
        ({"strip_len": 0}, "strip", OutOfRange),
        ({"trim_len": -1}, "trim", OutOfRange),
        ({"kerf_len": inches(1)}, "kerf", OutOfRange),
        ({"joint_allowance_len": inches(2)}, "joint_allowance", OutOfRange),
        ({"waste_pct": Decimal(-1)}, "waste_pct", OutOfRange),
        ({"waste_pct": Decimal("NaN")}, "waste_pct", Unreadable),
        ({"price_per_bf": 11.5}, "price_per_bf", Unreadable),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field


def test_defaults():
    assert (TOP.trim_len, TOP.quantity) == (inches(2), 1)
    assert TOP.joint_allowance_len + TOP.kerf_len == inches(Fraction(5, 16))


def test_docstring_examples():
    assert doctest.testmod(calcs.lumber).failed == 0
