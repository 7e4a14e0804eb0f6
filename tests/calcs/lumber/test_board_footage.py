from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.asking.field_types import Habit
from calcs.asking.inputs import read
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.lumber.board_footage import surface_measure
from calcs.lumber.board_tally import Boards, BoardTally, tally


def boards(thick, width, feet, count=1):
    return Boards(
        thickness_len=inches(thick), width_len=inches(width), length_len=inches(feet) * 12, count=count
    )


def test_part_feet_are_dropped_and_a_half_goes_up():
    # 6 in x 9 ft / 12 = 4.5 by hand; 9 ft 11 in counts as 9 ft by the same rule.
    assert surface_measure(width_len=inches(6), length_len=inches(119)) == 5


# NHLA (from memory): exact halves alternate through the whole tally. By hand: 4.5, 4.5 | 2.5 | 4.5.
def test_exact_halves_alternate_through_the_tally():
    found = tally(BoardTally(boards=(boards(1, 6, 9, 2), boards(1, 5, 6), boards(1, 6, 9))))
    assert [row.surface_ft2 for row in found.rows] == [9, 3, 4]
    assert [row.each_bf for row in found.rows] == [None, 3, 4]
    assert found.total_bf == 16


# American Hardwood Export Council, measurement (read): widths on the half inch alternately up and down, part
# feet dropped. By hand: 8 + 7 + 8 in of 7 1/2, and 7 of 7 3/8, x 8 ft / 12.
def test_a_bundle_rounds_widths_and_drops_part_feet():
    found = tally(
        BoardTally(boards=(boards(1, "7.5", "8.75", 3), boards(1, "7.375", "8.75")), rule="export bundle")
    )
    assert found.sum_bf == Decimal("20.00")  # 30 x 8 / 12


def test_what_is_measured_dry_has_no_gross():
    assert tally(BoardTally(boards=(boards(1, 12, 10, 100),))).gross_bf is None


# Hardwood terminology page (read): surface measures of one thickness are added, multiplied by it, then
# rounded. By hand: 5/4, 3 boards of 5 ft2: 18.75, 19; 8/4, one of 4 ft2: 8.
def test_each_thickness_is_rounded_by_itself():
    found = tally(BoardTally(boards=(boards("1.25", 6, 10, 3), boards(2, 6, 8))))
    assert (found.sum_bf, found.total_bf) == (Decimal("26.75"), 27)


ROW = st.builds(
    Boards,
    thickness_len=st.sampled_from([inches("3/4"), inches(1), inches("5/4"), inches(2)]),
    width_len=st.integers(inches(1), inches(20)),
    length_len=st.integers(inches(12), inches(192)),
    count=st.integers(1, 12),
)


@given(st.lists(ROW, min_size=1, max_size=6))
def test_rounding_never_drifts_by_more_than_half_a_foot_a_board(listed):
    found = tally(BoardTally(boards=tuple(listed)))
    for row, given_row in zip(found.rows, listed, strict=True):
        exact = Fraction(given_row.width_len * (given_row.length_len // inches(12)), inches(12))
        assert abs(Fraction(row.surface_ft2) - exact * row.count) <= Fraction(row.count, 2)
    assert abs(found.total_bf - found.sum_bf) <= 2  # four thicknesses, a half each
    assert found.sum_bf == sum(row.all_bf for row in found.rows)


@given(st.integers(1, 500))
def test_many_exact_halves_come_out_even(count):
    found = tally(BoardTally(boards=(boards(1, 6, 9, count),)))
    assert found.total_bf == Fraction(9 * count + count % 2, 2)


def test_a_tally_is_read_as_it_is_typed():
    typed = "8/4, 6 1/4, 96, 3; 1, 7, 8', 2"
    found = read(BoardTally, {"boards": typed}, Habit())
    assert found.boards == (boards(2, "6.25", 8, 3), boards(1, 7, 8, 2))


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"boards": ""}, "boards", Unreadable),
        ({"boards": "1, 0, 96"}, "boards[1].width", OutOfRange),
        ({"boards": "1, 6, 96, 0"}, "boards[1].count", OutOfRange),
        ({"boards": "1, 6, 96, 2; 1, 6, 6, 2"}, "boards[2].length", OutOfRange),
        ({"boards": "1, 6, 96", "rule": "by eye"}, "rule", Unknown),
        ({"boards": "1, 6, 96", "measured": "never"}, "measured", Unknown),
        ({"boards": "1, 6, 96", "shrinkage_pct": "21"}, "shrinkage_pct", OutOfRange),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        read(BoardTally, changes, Habit())
    assert caught.value.field == field and caught.value.allowed
