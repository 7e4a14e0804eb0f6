from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.errors import OutOfRange, Unknown, Unreadable
from calcs.lumber import TopLumber, top_lumber
from calcs.quarters import quarters_for, quarters_named
from calcs.tally import Boards
from calcs.units import inches


def test_a_thickness_between_two_takes_the_thicker():
    assert quarters_for(inches("3/4")).quarters == "4/4"
    assert quarters_for(quarters_named("4/4").surfaced_len + 1).quarters == "5/4"


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


def test_waste_told_goes_before_the_grade():
    assert top_lumber(replace(TOP, grade="FAS", waste_pct=Decimal(5))).waste_pct == 5
    assert top_lumber(replace(TOP, waste_pct=None)).waste_pct == 25


# Common practice, no source: three sides surfaced leaves an edge to true, faces to check, nothing to flatten.
def test_what_surfacing_leaves_to_do():
    s3s = top_lumber(replace(TOP, surfaced="S3S"))
    assert "true the one edge left rough" in s3s.to_do[0]
    assert any("not flat" in step for step in s3s.to_do)
    assert s3s.spare_len == 0 and "nothing is left to flatten. Buy" in s3s.warnings[0]
    rough = top_lumber(replace(TOP, surfaced="rough"))
    assert "flatten one face" in rough.to_do[0] and not any("nothing to" in note for note in rough.notes)


# By hand: of 4 boards 8/4 x 8 in x 10 ft each gives one strip of 6 5/16 x 72 in and 14 board feet (6.67 ft2,
# 7 x 2); the 4/4 board is too thin. 37.875 - 56 is none missing, one strip is.
def test_boards_at_hand_are_tallied_and_held_against_the_need():
    at_hand = (
        Boards(thickness_len=inches(2), width_len=inches(8), length_len=inches(120), count=4),
        Boards(thickness_len=inches(1), width_len=inches(8), length_len=inches(120)),
    )
    need = top_lumber(replace(TOP, boards=at_hand))
    assert need.tally.total_bf == 63  # 4 x 14 + 7
    assert (need.strips, need.strips_at_hand, need.missing_bf) == (5, 4, 0)
    assert "rows of boards at hand too thin or too short for this top: 1" in need.notes
    fewer = top_lumber(replace(TOP, boards=(replace(at_hand[0], count=2),)))
    assert fewer.missing_bf == Decimal("9.88")  # 37.875 - 28
    assert top_lumber(TOP).tally is None


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
        ({"grade": "B"}, "grade", Unknown),
        ({"surfaced": "S5S"}, "surfaced", Unknown),
        ({"boards": [1]}, "boards", Unreadable),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field


def test_defaults():
    assert (TOP.trim_len, TOP.quantity) == (inches(2), 1)
    assert TOP.joint_allowance_len + TOP.kerf_len == inches(Fraction(5, 16))
