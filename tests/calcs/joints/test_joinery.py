import doctest
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.joints.joinery
from calcs.asking.field_types import Habit
from calcs.asking.inputs import read
from calcs.joints.joinery import slots
from calcs.joints.recesses import Recess
from calcs.joints.slot_clearance import WALL_LEN
from calcs.joints.slot_plan import SlotPlan, plan_for
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, mm, to_mm
from calcs.lumber.layout import StripLayout, strips

PLAN = SlotPlan(length_len=inches(60), thickness_len=inches("7/4"), joints=4)
CHANNEL = Recess(from_end_len=inches(13), along_len=inches(3), depth_len=inches("9/16"))


# First about 4 in from the finished end, then every 10 to 12 in (common practice, no source). By hand: 60 - 8
# is 52; over 12 that is 4.3, so 5 spaces of 10.4 in, which is in the range.
def test_places_of_a_five_foot_joint_by_hand():
    found = slots(PLAN)
    assert found.positions_len == tuple(inches(at) for at in ("4", "14.4", "24.8", "35.2", "45.6", "56"))
    assert found.spacing_len == inches("10.4")
    assert found.rows_len == (inches("7/8"),)  # mid-thickness, from the show face


# By hand: 6 places x 4 joints is 24 biscuits; a tenth is 2.4, so 3 spare. Outer strips 6 slots, inner 12.
def test_count_to_buy_and_which_edges():
    found = slots(PLAN)
    assert (found.pieces, found.buy, found.slots) == (24, 27, 48)
    assert [(e.label, e.edges, e.slots) for e in found.edges] == [
        ("A", "right", 6),
        ("B", "both", 12),
        ("C", "both", 12),
        ("D", "both", 12),
        ("E", "left", 6),
    ]
    assert slots(replace(PLAN, joints=1, length_len=inches(20))).buy == 4  # two, and two spare at least


# Two rows from 1 1/2 in thickness where strength is wanted (common practice, no source); thirds by hand.
def test_two_rows_where_strength_is_wanted():
    found = slots(replace(PLAN, strong=True))
    assert found.rows_len == (inches("7/4") // 3, inches("7/4") - inches("7/4") // 3)
    assert found.pieces == 48
    thin = slots(replace(PLAN, strong=True, thickness_len=inches("23/16")))
    assert len(thin.rows_len) == 1 and any("1 1/2" in note for note in thin.notes)


# A size 20 biscuit is 56 x 23 x 4 mm (from memory): half of 23 mm and 1/32 in of room.
def test_size_of_a_biscuit():
    found = slots(PLAN)
    assert (found.along_len, found.into_len, found.thick_len) == (mm(56), mm(23), mm(4))
    assert found.depth_len == mm("11.5") + inches("1/32")
    # 2 sqrt(12.294 x (101.6 - 12.294)) is 66.27 mm: the chord of a 4 in blade at that depth
    assert float(to_mm(found.slot_len)) == pytest.approx(66.27, abs=0.01)
    assert any("from memory" in text for text in found.source)


# By hand: 36 - 8 is 28; two spaces of 14 are too wide, three of 9 1/3 too close; from 5 in two are 13. With
# the first at 3 in, 30 is three spaces of 10.
def test_the_first_slot_moves_for_even_spacing():
    found = slots(replace(PLAN, length_len=inches(36)))
    assert found.positions_len == tuple(inches(at) for at in (3, 13, 23, 33))


def test_short_joints_get_closer_slots_or_one():
    close = slots(replace(PLAN, length_len=inches(15)))  # 7 in apart
    assert close.positions_len == (inches(4), inches(11)) and "closer" in close.notes[-1]
    one = slots(replace(PLAN, length_len=inches(10)))
    assert (one.positions_len, one.spacing_len) == ((inches(5),), None) and "one in the middle" in one.notes[
        -1
    ]


LENGTHS = st.integers(inches(3), inches(240))
RANGES = st.tuples(st.integers(inches(6), inches(12)), st.integers(0, inches(6)))


@given(LENGTHS, RANGES, st.integers(inches(2), inches(6)), st.integers(0, inches(1)))
def test_spacing_is_even_and_in_the_range_wherever_it_can_be(length, spread, first, give):
    least, most = spread[0], spread[0] + spread[1]
    plan = replace(PLAN, length_len=length, least_len=least, most_len=most, first_len=first, give_len=give)
    found = slots(plan)
    at = found.positions_len
    assert [length - place for place in reversed(at)] == pytest.approx(list(at), abs=1)  # symmetrical
    gaps = [b - a for a, b in zip(at, at[1:], strict=False)]
    assert not gaps or max(gaps) - min(gaps) <= 1
    assert not gaps or max(gaps) <= most + 1
    # brute force: does any count of spaces fit, the first anywhere in its range?
    low, high = max(0, first - give), first + give
    possible = any(
        max(n * least, length - 2 * high) <= min(n * most, length - 2 * low) - 1 for n in range(1, 60)
    )
    if possible:
        assert gaps and least - 1 <= Fraction(at[-1] - at[0], len(gaps)) <= most
        assert low <= at[0] <= high


def clear_of(found, plan):
    for recess in plan.recesses:
        begins, ends = recess.from_end_len, recess.from_end_len + recess.along_len
        for at in found.positions_len:
            in_plan = at - found.slot_len // 2 < ends and at + found.slot_len // 2 > begins
            lowest = found.rows_len[-1] + found.thick_len // 2
            if in_plan and lowest > plan.thickness_len - recess.depth_len:
                return False
    return True


@given(
    st.lists(st.integers(inches(6), inches(80)), min_size=1, max_size=3),
    st.integers(inches("1/2"), inches("7/8")),
)
def test_no_slot_ever_lies_in_a_recess(begins, depth):
    recesses = tuple(Recess(from_end_len=at, along_len=inches(2), depth_len=depth) for at in begins)
    plan = replace(PLAN, length_len=inches(84), strong=True, recesses=recesses)
    try:
        found = slots(plan)
    except OutOfRange as refused:
        assert refused.field.startswith("recesses[") and "recess" in str(refused)
    else:
        assert clear_of(found, plan)


def test_slots_step_round_a_recess_where_even_spacing_allows():
    two = replace(PLAN, strong=True, give_len=0)
    with pytest.raises(OutOfRange) as caught:
        slots(replace(two, recesses=(CHANNEL,)))
    assert caught.value.field == "recesses[1]" and "recess 1" in str(caught.value)
    assert '14 13/32"' in str(caught.value)  # 4 + 10.4 in
    moved = slots(replace(two, give_len=inches(2), least_len=inches(8), recesses=(CHANNEL,)))
    assert clear_of(moved, replace(two, recesses=(CHANNEL,)))


# 1 3/4 in: mid-thickness 22.2 mm and half a biscuit make 24.2 mm; a recess of 9/16 in leaves 30.2 above it.
def test_one_row_passes_over_a_shallow_recess():
    assert slots(replace(PLAN, recesses=(CHANNEL,))).positions_len == slots(PLAN).positions_len


def test_a_recess_away_from_the_joints_is_no_conflict():
    wide = tuple(inches(8) for _ in range(3))
    beside = replace(CHANNEL, from_edge_len=inches(10), across_len=inches(4), depth_len=inches(1))
    plan = replace(PLAN, joints=None, widths_len=wide, give_len=0, recesses=(beside,))
    assert slots(plan).positions_len[1] == inches("14.4")  # joints at 8 and 16 in, recess from 10 to 14
    with pytest.raises(OutOfRange):
        slots(replace(plan, recesses=(replace(beside, from_edge_len=inches(7)),)))


def test_profile_and_trim_are_kept_clear():
    with pytest.raises(OutOfRange) as caught:
        slots(replace(PLAN, profile_len=inches(6)))
    assert caught.value.field == "profile" and "edge profile" in str(caught.value)
    with pytest.raises(OutOfRange) as caught:
        slots(replace(PLAN, first_len=inches(1), give_len=0))
    assert caught.value.field == "first" and "trim" in str(caught.value)


# Outer strip of 1 in, half an inch off at the edge: 1/2 in is left and the slot takes 0.484 in of it.
def test_slots_near_the_edge_are_refused_by_name():
    plan = replace(PLAN, joints=None, widths_len=(inches(1), inches(6), inches(6)), width_len=inches(12))
    with pytest.raises(OutOfRange) as caught:
        slots(plan)
    assert caught.value.field == "widths[1]" and "trim" in str(caught.value)
    with pytest.raises(OutOfRange) as caught:
        slots(replace(plan, widths_len=(inches(2),) * 3, width_len=inches(6), profile_len=inches("7/4")))
    assert "edge profile" in str(caught.value)
    with pytest.raises(OutOfRange) as caught:
        slots(replace(plan, widths_len=(inches(6), inches(1), inches(6))))
    assert caught.value.field == "widths[2]" and "both edges" in caught.value.allowed


@pytest.mark.parametrize("joiner", ["biscuit 0", "dowel 1/2", "loose tenon 1/2"])
def test_joiners_want_wood_on_both_sides(joiner):
    with pytest.raises(OutOfRange) as caught:
        slots(replace(PLAN, joiner=joiner, thickness_len=inches("3/8")))
    assert caught.value.field == "thickness" and joiner in caught.value.allowed
    found = slots(replace(PLAN, joiner=joiner, thickness_len=inches("3/4")))
    assert found.rows_len[0] - found.thick_len // 2 >= WALL_LEN


def test_a_plan_from_a_layout():
    asked = StripLayout(width_len=inches(32), length_len=inches(60))
    found = slots(plan_for(strips(asked), asked, thickness_len=inches("7/4"), joiner="biscuit 20"))
    assert (found.joints, [e.label for e in found.edges]) == (4, ["A", "B", "C", "D", "E"])


def test_as_typed():
    typed = {"length": "60", "thickness": "1 3/4", "widths": "8, 8, 8", "recesses": "13, 2, 1/2"}
    plan = read(SlotPlan, typed, Habit())
    assert plan.recesses == (Recess(from_end_len=inches(13), along_len=inches(2), depth_len=inches("1/2")),)
    assert slots(plan).joints == 2


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"length_len": 0}, "length", OutOfRange),
        ({"thickness_len": inches("1/4")}, "thickness", OutOfRange),
        ({"joints": 0}, "joints", OutOfRange),
        ({"joints": None}, "joints", OutOfRange),
        ({"widths_len": (inches(4), inches(4))}, "joints", OutOfRange),
        ({"joints": None, "widths_len": (inches(4),)}, "widths", OutOfRange),
        ({"joints": None, "widths_len": (inches(4),) * 2, "width_len": inches(9)}, "width", OutOfRange),
        ({"joiner": "nail"}, "joiner", Unknown),
        ({"first_len": 0}, "first", OutOfRange),
        ({"give_len": -1}, "give", OutOfRange),
        ({"least_len": inches(13)}, "least", OutOfRange),
        ({"most_len": inches(25)}, "most", OutOfRange),
        ({"strong": 1}, "strong", Unreadable),
        ({"profile_len": -1}, "profile", OutOfRange),
        ({"recesses": (1,)}, "recesses", Unreadable),
        ({"recesses": (replace(CHANNEL, from_end_len=inches(59)),)}, "recesses[1]", OutOfRange),
        ({"recesses": (replace(CHANNEL, depth_len=inches(2)),)}, "recesses[1]", OutOfRange),
        ({"spare_pct": Decimal(101)}, "spare_pct", OutOfRange),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(PLAN, **changes)
    assert caught.value.field == field and caught.value.allowed


def test_docstring_examples():
    assert doctest.testmod(calcs.joints.joinery).failed == 0


# Half the chord of a size 20 slot is 33.1 mm and 1/8 in of wood stays before the end: 36.3 mm, or 1.43 in.
@pytest.mark.parametrize("first, fits", [("23/16", True), ("45/32", False), ("5/4", False)])
def test_a_slot_does_not_break_out_at_the_end(first, fits):
    plan = replace(PLAN, first_len=inches(first), give_len=0)
    if fits:
        assert slots(plan).first_len == inches(first)
        return
    with pytest.raises(OutOfRange) as caught:
        slots(plan)
    assert caught.value.field == "first" and "end" in str(caught.value)
