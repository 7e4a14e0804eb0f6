from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calcs.asking.field_types import Habit
from calcs.catalogue import run
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.lumber.board_tally import Boards
from calcs.lumber.lumber import top_lumber
from calcs.lumber.lumber_inputs import TopLumber

TOP = TopLumber(
    length_len=inches(70),
    width_len=inches(30),
    thickness_len=inches("27/16"),
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
    assert "flatten one face" in top_lumber(replace(TOP, surfaced="rough")).to_do[0]


# By hand: of 4 boards 8/4 x 8 in x 10 ft each gives one strip of 6 5/16 x 72 in and 14 board feet (6.67 ft2,
# 7 x 2); the 4/4 board is too thin. 4 x 6 in of 30 in: one strip is missing, a board of 14.
def test_boards_at_hand_are_tallied_and_held_against_the_need():
    at_hand = (
        Boards(thickness_len=inches(2), width_len=inches(8), length_len=inches(120), count=4),
        Boards(thickness_len=inches(1), width_len=inches(8), length_len=inches(120)),
    )
    need = top_lumber(replace(TOP, boards=at_hand))
    assert need.tally.total_bf == 63  # 4 x 14 + 7
    assert (need.strips, need.strips_at_hand, need.width_at_hand_len) == (5, 4, inches(24))
    assert (need.missing_len, need.missing_bf) == (inches(6), Decimal(14))
    assert "rows of boards at hand too thin or too short for this top: 1" in need.notes
    enough = top_lumber(replace(TOP, boards=(replace(at_hand[0], count=5),)))
    assert (enough.missing_len, enough.missing_bf) == (0, 0)
    assert top_lumber(TOP).tally is None and top_lumber(TOP).missing_len is None


# By hand: a board of 5 in gives 5 - 3/16 - 1/8 = 4 11/16 in; seven of them 32 13/16 of 42 in.
@pytest.mark.parametrize("strip", [None, "6", "6 1/2"])
def test_boards_at_hand_count_by_their_measured_widths(strip):
    given_ = {"length": "96", "width": "42", "thickness": "1 1/2", "board_width": "7", "board_length": "120"}
    given_ |= {"boards": "8/4, 5, 120, 7", "strip": strip or ""}
    need = run("lumber", given_, Habit()).result
    assert need["width_at_hand_len"]["value"] == inches("525/16")
    assert need["missing_len"]["value"] == inches("147/16")  # 42 - 32 13/16
    assert Decimal(need["missing_bf"]["value"]) >= Decimal(need["gross_bf"]["value"]) * Decimal("0.2187")


# By hand, 13 in less one strip of 6 5/16 leaves 6 11/16: one more of 6 3/8, no wider than wanted but for the
# last; 8 in less 6 5/16 leaves 1 11/16, too narrow for another. Two along 150 in of 72 in.
@pytest.mark.parametrize(
    "width, length, strips, side_by_side",
    [("25/2", 120, 2, "95/8"), ("8", 150, 2, "12"), ("4", 72, 1, "59/16"), ("8", 71, 0, "0")],
)
def test_a_board_gives_strips_along_and_across(width, length, strips, side_by_side):
    row = Boards(thickness_len=inches(2), width_len=inches(width), length_len=inches(length))
    need = top_lumber(replace(TOP, boards=(row,)))
    assert (need.strips_at_hand, need.width_at_hand_len) == (strips, inches(side_by_side))


# 60 x 30 x 1 1/4 in from 6/4 boards of 7 in, five strips of 6 in and 62 in: net 1.5 x 5 x 2.5 = 18.75 board
# feet. By hand: 11 ft holds two strips and is 6.42, so 6 ft2, 9 board feet; 8 ft holds one, 4.67, so 5 ft2,
# 7.5. Without waste two of 11 ft and one of 8 ft; with 25 % 25.48 are needed, three of 11 ft; with 50 %
# 30.58, three of 12 ft (7 ft2, 10.5).
@pytest.mark.parametrize(
    "waste, boards, buy_bf",
    [(0, [(2, 132), (1, 96)], "25.50"), (25, [(3, 132)], "27.00"), (50, [(3, 144)], "31.50")],
)
def test_a_short_top_takes_several_strips_of_a_board_and_its_waste_counts(waste, boards, buy_bf):
    short = TopLumber(
        length_len=inches(60), width_len=inches(30), thickness_len=inches("5/4"), strip_len=inches(6),
        board_width_len=inches(7), waste_pct=Decimal(waste),
    )  # fmt: skip
    need = top_lumber(short)
    assert (need.net_bf, need.buy_bf) == (Decimal("18.75"), Decimal(buy_bf))
    assert [(row.count, row.length_len) for row in need.to_buy] == [(n, inches(long)) for n, long in boards]
    assert need.boards == sum(n for n, _ in boards)
    told = top_lumber(replace(short, board_length_len=inches(120)))
    assert told.buy_bf == 45  # one strip a board, 58 in over
    assert any(f"would do: {Decimal(buy_bf).normalize():f} board feet" in note for note in told.notes)
    absorbed = any("comes out of what the boards have over" in note for note in told.notes)
    assert absorbed is (waste > 0)


# By hand: a board of 6 5/16 x 72 in is 3.16 ft2, so 3 ft2, 6 board feet in 8/4, and gives one strip. Five
# hold the strips, but these take 31.5625 board feet: six boards. With 10 % they take 34.7, six boards; with
# 20 % 37.875, seven.
@pytest.mark.parametrize("waste, boards", [(10, 6), (20, 7)])
def test_waste_is_free_where_the_boards_have_it_over_without_it(waste, boards):
    tight = replace(
        TOP, board_width_len=inches("101/16"), board_length_len=inches(72), waste_pct=Decimal(waste)
    )
    need = top_lumber(tight)
    assert (need.boards, need.buy_bf) == (boards, 6 * boards)
    free = [note for note in need.notes if "comes out of what the boards have over" in note]
    assert free == ([f"{waste} % for waste comes out of what the boards have over"] if boards == 6 else [])


# By hand, five strips of 6 5/16 x 118 + 2 in: 52.6 board feet. A board of 8 in x 10 ft (6.67 ft2, so 7; 14
# board feet) is one strip, five are 70; one of 20 ft (13.33 ft2, so 13; 26) is two strips, three are 78.
def test_a_cheaper_length_is_named_up_to_the_longest_on_offer():
    long = replace(TOP, length_len=inches(118), thickness_len=inches("13/8"), waste_pct=Decimal(0))
    told = top_lumber(replace(long, board_length_len=inches(240)))
    assert (told.boards, told.buy_bf) == (3, 78)
    assert any("would do: 70 board feet" in note for note in told.notes)
    longer = top_lumber(replace(long, length_len=inches(143), board_length_len=inches(300)))
    assert not any("would do" in note for note in longer.notes)  # 145 in, and 12 ft is the longest on offer


@settings(deadline=None)
@given(
    st.integers(8, 240), st.integers(2, 60), st.integers(1, 6), st.integers(4, 20), st.integers(0, 150),
    st.integers(1, 12), st.sampled_from([None, 96, 120, 192]),
)  # fmt: skip
def test_what_is_bought_holds_every_strip_and_the_waste(length, width, quantity, board, waste, strip, long):
    asked = TopLumber(
        length_len=inches(length), width_len=inches(width), thickness_len=inches(1), quantity=quantity,
        board_width_len=inches(board), board_length_len=long and inches(long), strip_len=inches(strip),
        waste_pct=Decimal(waste),
    )  # fmt: skip
    try:
        need = top_lumber(asked)
    except OutOfRange:
        assume(False)
    across = inches(board) // (inches(strip) + inches("5/16"))
    holds = sum(row.count * across * (row.length_len // need.blank_len) for row in need.to_buy)
    assert holds >= need.strips and need.buy_bf >= need.gross_bf - Decimal("0.01")
    more = top_lumber(replace(asked, waste_pct=Decimal(waste + 50)))
    assert more.buy_bf >= need.buy_bf
    rough = {"thickness_len": need.rough_len}
    bought = tuple(Boards(**rough, **vars(row)) for row in need.to_buy)
    assert top_lumber(replace(asked, boards=bought)).missing_len == 0


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


# By hand: ends 4 in wide with tongues of 2 in leave strips of 70 - 4 + 2 = 68 in: 31.5625 x 68 x 2 / 144 =
# 29.8090. Two ends of 4 5/16 in with allowances, 30 + 2 = 32 in long: 2 x 4.3125 x 32 x 2 / 144 = 3.8333.
# With 20 % together 40.3708. One board of 14 board feet gives three ends along it: one more than the five
# for strips.
def test_breadboard_ends_are_bought_too():
    ended = replace(TOP, end_wide_len=inches(4), tongue_deep_len=inches(2))
    need = top_lumber(ended)
    assert (need.blank_len, need.strips) == (inches(68), 5)
    assert (need.gross_bf, need.boards, need.buy_bf) == (Decimal("40.37"), 6, Decimal(84))
    assert need.cost == Decimal("966.00")  # 84 x 11.50
    assert any("2 breadboard ends" in note for note in need.notes)
    with pytest.raises(OutOfRange) as caught:  # no board of 8 in gives an end of 8 in with straight edges
        top_lumber(replace(ended, end_wide_len=inches(8)))
    assert caught.value.field == "board_width"
