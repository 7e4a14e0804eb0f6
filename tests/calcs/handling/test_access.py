from dataclasses import replace
from decimal import Decimal
from math import hypot, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.handling.access import access
from calcs.handling.access_inputs import Cabin, Door, Turn, WayIn
from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.units import UNITS_PER_INCH, inches

BARE = {"wrapping_len": 0, "hands_len": 0, "raised_len": 0}
TOP = {"length_len": inches(84), "width_len": inches(40), "thickness_len": inches(2)}
DOOR = Door(width_len=inches(30), height_len=inches(78))


def inch(units):
    return units / UNITS_PER_INCH


def only(**asked):
    return access(WayIn(**{**TOP, **BARE, **asked})).passages[0]


# By hand: on edge, 40 in high and 2 thick; 28 in are left of a door of 30.
def test_a_low_top_goes_upright():
    found = only(doors=(DOOR,))
    assert (found.fits, found.spare_len, found.lean_deg, found.how) == (True, inches(28), 0, "on edge")


# By hand, Pythagoras 3-4-5: a board of 100 in without thickness under a lintel of 80 leans 60 in wide. Its
# thickness adds 0.8 of it to the width, and 0.6 to the height, for which it leans 0.6 x 80 / 60 further.
def test_a_high_top_leans_in_the_door():
    high = {"width_len": inches(100), "length_len": inches(120), "thickness_len": inches("1/8")}
    found = only(**high, doors=(Door(width_len=inches(61), height_len=inches(80)),))
    assert found.fits and found.how == "leaning"
    assert float(found.lean_deg) == pytest.approx(36.87, abs=0.2)
    assert inch(found.spare_len) == pytest.approx(61 - 60 - 0.125 * 0.8 - 0.125 * 0.6 * 80 / 60, abs=0.01)


def test_wrapping_hands_and_carrying_take_room():
    way = WayIn(
        **TOP,
        doors=(DOOR,),
        wrapping_len=inches(1),
        hands_len=inches("3/2"),
        raised_len=inches(2),
    )
    found = access(way)
    assert found.passages[0].spare_len == inches(30 - (2 + 2) - 3)
    assert (found.wrapped_length_len, found.wrapped_thickness_len) == (inches(86), inches(4))
    low = Door(width_len=inches(30), height_len=inches(43))  # 42 in of wrapped top, 2 above the floor
    assert access(replace(way, doors=(low,))).passages[0].how == "leaning"


# Ladder problem: corridors of 36 in, 101.8 in for no thickness, 4 in less for 2 in (test_corners).
@pytest.mark.parametrize("length, fits", [(97, True), (98, False)])
def test_a_turn_of_the_stair(length, fits):
    turn = Turn(into_len=inches(36), out_len=inches(36), height_len=inches(41))
    found = only(length_len=inches(length), turns=(turn,))
    assert found.fits is fits
    assert inch(found.spare_len) == pytest.approx(72 * sqrt(2) - 4 - length, abs=0.001)


# With headroom the far end goes up: a top as high as the stair is stood on end and is only its width long.
def test_headroom_helps_at_a_turn():
    turn = Turn(into_len=inches(36), out_len=inches(36), height_len=inches(96))
    found = only(length_len=inches(95), turns=(turn,))
    assert found.fits and found.how == "on end"
    assert inch(found.spare_len) == pytest.approx(72 * sqrt(2) - 4 - 40, abs=0.001)


# A rod as long as the diagonal just fits: 30 x 40 in of floor give 50, with 120 in of height 130. Its own
# inch of width and eighth of thickness take less than 2 in of that.
@pytest.mark.parametrize("length, fits", [(128, True), (130, False)])
def test_the_diagonal_of_a_lift(length, fits):
    cabin = Cabin(
        width_len=inches(40),
        depth_len=inches(30),
        height_len=inches(120),
        door_width_len=inches(30),
        door_height_len=inches(110),
    )
    rod = {"length_len": inches(length), "width_len": inches(1), "thickness_len": inches("1/8")}
    door, lift = access(WayIn(**rod, **BARE, lifts=(cabin,))).passages
    assert door.fits and lift.name == "lift"
    assert lift.fits is fits and lift.how == "one end up, across the floor"


def test_a_low_lift_tilts_the_top():
    cabin = Cabin(
        width_len=inches(60),
        depth_len=inches(60),
        height_len=inches(15),
        door_width_len=inches(36),
        door_height_len=inches(78),
    )
    shelf = {**TOP, **BARE, "width_len": inches(14)}
    flat = access(WayIn(**shelf, lifts=(cabin,))).passages[1]
    # 84 x 2 in under 45 degrees are 86 / sqrt 2 = 60.8 in both ways: too much for 60 by about twice 0.8
    assert not flat.fits and flat.how == "on edge, across the floor"
    assert inch(flat.spare_len) == pytest.approx(-1.6, abs=0.1)
    for height, how in ((70, "one end up"), (84, "on end")):
        high = replace(cabin, height_len=inches(height))
        found = access(WayIn(**shelf, lifts=(high,))).passages[1]
        assert found.fits and found.how.startswith(how)


# Pythagoras: tipped up from flat, 84 x 2 in need 84.02 in, 40 x 2 in 40.05 in.
@pytest.mark.parametrize("ceiling, edge, end", [(96, True, True), (84, True, False), (40, False, False)])
def test_a_ceiling_to_stand_it_up(ceiling, edge, end):
    found = access(WayIn(**TOP, **BARE, ceiling_len=inches(ceiling)))
    assert [each.fits for each in found.passages] == [edge, end]
    assert found.goes is edge  # on end is said, not needed
    assert inch(found.passages[0].spare_len) == pytest.approx(ceiling - hypot(40, 2), abs=0.0001)


def test_a_no_says_by_how_much():
    low = Door(width_len=inches(4), height_len=inches(80), name="cellar door")
    found = access(WayIn(**TOP, doors=(DOOR, low)))
    assert not found.goes and len(found.warnings) == 1
    assert found.warnings[0] == 'cellar door: no, short by 3" (76.2 mm)'
    assert any("stairs" in text for text in found.cautions)
    assert any("no source" in text for text in found.source)


@given(st.integers(20, 60), st.integers(20, 60), st.integers(60, 100), st.integers(1, 30))
def test_a_wider_way_never_does_harm(into, out, height, more):
    turn = Turn(into_len=inches(into), out_len=inches(out), height_len=inches(height))
    wider = replace(turn, into_len=inches(into + more))
    assert only(turns=(wider,)).spare_len >= only(turns=(turn,)).spare_len
    mirrored = replace(turn, into_len=turn.out_len, out_len=turn.into_len)
    assert only(turns=(mirrored,)).spare_len == pytest.approx(only(turns=(turn,)).spare_len, abs=10)


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"doors": ()}, "doors", OutOfRange),
        ({"doors": (1,)}, "doors", Unreadable),
        ({"length_len": 0}, "length", OutOfRange),
        ({"thickness_len": inches(13)}, "thickness", OutOfRange),
        ({"ceiling_len": 0}, "ceiling", OutOfRange),
        ({"wrapping_len": -1}, "wrapping", OutOfRange),
        ({"hands_len": Decimal(1)}, "hands", Unreadable),
        ({"raised_len": inches(49)}, "raised", OutOfRange),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        WayIn(**{**TOP, "doors": (DOOR,), **changes})
    assert caught.value.field == field and caught.value.allowed


def test_a_door_of_nothing_is_refused():
    with pytest.raises(OutOfRange) as caught:
        Door(width_len=0, height_len=inches(78))
    assert caught.value.field == "width"
