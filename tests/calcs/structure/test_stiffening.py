from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, to_inches
from calcs.structure.channel_fit import STEEL_LEFT
from calcs.structure.stiffening import stiffening
from calcs.structure.stiffening_inputs import Stiffeners
from tests.published.printed import rows

# A 40 in flatsawn black walnut top from 7 to 11 % gains 0.4384 in: coefficient of Wood Handbook (2010)
# table 13-5 (read), sum worked out in tests/published/data/movement.csv, E7.
(E7,) = [row for row in rows("movement") if row["id"] == "E7"]
TOP = Stiffeners(
    species="black walnut",
    width_len=inches(48),
    length_len=inches(96),
    thickness_len=inches("7/4"),
    mc_made_pct=Decimal(E7["mc_start_pct"]),
    mc_dry_pct=Decimal(E7["mc_start_pct"]),
    mc_humid_pct=Decimal(E7["mc_end_pct"]),
)


def inch(units):
    return float(to_inches(units))


# 48 in wide, 4 in free either side: a channel of 40 in. Its length in the wood moves 0.4384 in over the year;
# with 1/8 in at each end the recess is 40.6884 in.
def test_recess_by_the_worked_example():
    plan = stiffening(TOP)
    assert plan.channel_len == inches(E7["start_size"])
    assert inch(plan.recess_length_len) == pytest.approx(40 + 0.4384 + 0.25, abs=0.0001)
    assert (plan.recess_deep_len, plan.recess_middle_len) == (inches("1/2"), inches("5/8"))
    for recess, place in zip(plan.recesses, plan.places_len, strict=True):
        assert abs(2 * recess.from_edge_len + recess.across_len - TOP.width_len) <= 1
        assert abs(recess.from_end_len + recess.along_len // 2 - place) <= 1


def test_channels_stand_evenly_in_the_middle_of_their_shares():
    assert [inch(at) for at in stiffening(TOP).places_len] == [16, 48, 80]
    assert [inch(at) for at in stiffening(replace(TOP, length_len=inches(60))).places_len] == [15, 45]
    assert [inch(at) for at in stiffening(replace(TOP, count=4)).places_len] == [12, 36, 60, 84]


# Bolts 1 1/2 in from the ends of a 40 in channel: 18.5 in from the middle, 18.5 x 0.00274 x 4 = 0.2028 in of
# travel, with a 1/4 in bolt and 1/16 in play. Made in the dry season it only moves outward.
def test_slots_by_hand():
    left, middle, right = stiffening(TOP).bolts
    assert [inch(bolt.at_len) for bolt in (left, middle, right)] == [1.5, 20, 38.5]
    assert inch(left.slot.slot_len) == pytest.approx(0.2028 + 0.3125, abs=0.0001)
    assert left.slot.slot_len == right.slot.slot_len and inch(left.slot.inner_len) == 0.15625
    assert middle.fixed and middle.slot.slot_len == inches("1/4") and not left.fixed
    # five bolts: 9.25 in from the middle, 0.1014 in
    five = stiffening(replace(TOP, bolts=5)).bolts
    assert inch(five[1].slot.slot_len) == pytest.approx(0.1014 + 0.3125, abs=0.0001)


# 1 3/4 in less 5/8 in of recess leaves 1 1/8 in; an insert of 1/2 in leaves 5/8 in.
def test_insert_against_the_wood_above_it():
    assert (stiffening(TOP).above_recess_len, stiffening(TOP).above_insert_len) == (
        inches("9/8"),
        inches("5/8"),
    )
    assert stiffening(replace(TOP, insert_len=inches(1))).above_insert_len == inches("1/8")
    with pytest.raises(OutOfRange) as caught:
        stiffening(replace(TOP, insert_len=inches(1) + 1))
    assert caught.value.field == "insert" and 'at most 1" (25.4 mm)' in caught.value.allowed
    with pytest.raises(OutOfRange) as caught:  # would come through the face
        stiffening(replace(TOP, insert_len=inches("5/4")))
    assert caught.value.field == "insert"
    thin = replace(TOP, thickness_len=inches("3/4"), channel_deep_len=inches("1/4"))
    with pytest.raises(OutOfRange) as caught:  # 3/4 - 3/8 = 3/8, less 1/8: 1/4
        stiffening(thin)
    assert 'at most 1/4"' in caught.value.allowed


def test_depth_is_at_most_a_third_of_the_thickness():
    assert stiffening(replace(TOP, channel_deep_len=inches("7/4") // 3)).recess_deep_len == inches("7/4") // 3
    with pytest.raises(OutOfRange) as caught:
        replace(TOP, channel_deep_len=inches("7/4") // 3 + 1)
    assert caught.value.field == "channel_deep" and "a third" in caught.value.allowed


# Steel by hand: channel 3/2 x 1/2 x 1/8 in, web 3/16 in², legs 2 x 1/8 x 3/8 = 3/32 in²; middle (3/16 x 1/16
# + 3/32 x 5/16) / (9/32) = 7/48 in from the back; I = 0.000244 + 0.1875 x 0.08333^2 + 0.001099 + 0.09375 x
# 0.16667^2 = 0.005249 in^4. Three of 29,000 ksi: 456.7 kip in². Wood at 100 ksi (689.5 MPa):
# 96 x 1.75^3 / 12 = 42.875 in^4, 4287.5 kip in². Together 1.107 times the wood.
def test_stiffness_gained_by_hand():
    plan = stiffening(replace(TOP, across_mpa=Decimal("689.5")))
    assert float(plan.stiffer) == pytest.approx(1 + 456.7 / 4287.5, abs=0.006)
    assert any("your own value" in text for text in plan.source)
    none = stiffening(replace(TOP, species="teak"))
    assert none.stiffer is None and any("give your own" in note for note in none.notes)


def test_two_channels_gain_twice_what_one_does():
    gains = [stiffening(replace(TOP, count=n)).stiffer - 1 for n in (4, 8)]
    assert float(gains[1]) == pytest.approx(2 * float(gains[0]), abs=0.011)


def test_a_small_top_seldom_needs_them():
    small = stiffening(replace(TOP, width_len=inches(24), length_len=inches(60)))
    assert not small.useful and small.warnings
    assert stiffening(TOP).useful and not stiffening(TOP).warnings


MC = st.decimals(min_value=6, max_value=14, places=1)


@given(MC, MC, MC, st.integers(inches(30), inches(60)), st.sampled_from([3, 5]))
def test_no_season_binds_a_channel(made, one, other, width, bolts):
    top = replace(
        TOP,
        width_len=width,
        bolts=bolts,
        bolt_end_len=inches(2),
        mc_made_pct=made,
        mc_dry_pct=min(one, other),
        mc_humid_pct=max(one, other),
    )
    plan = stiffening(top)
    for season in (plan.seasons.mc_made_pct, plan.seasons.mc_dry_pct, plan.seasons.mc_humid_pct):
        share = Fraction(plan.seasons.coefficient) * Fraction(season - made)
        assert plan.recess_length_len * (1 + share) >= plan.channel_len
        for bolt in plan.bolts:
            middle = bolt.slot.inner_len + bolt.slot.from_fixed_len * share
            room = Fraction(top.bolt_len, 2) - 2
            assert room <= middle <= bolt.slot.slot_len - room
    assert all(right.at_len - left.at_len > left.slot.slot_len for left, right in pairwise(plan.bolts))
    outer = plan.bolts[-1]
    assert outer.at_len + outer.slot.slot_len - outer.slot.inner_len + STEEL_LEFT <= plan.channel_len + 1
    assert all(r.from_edge_len > 0 and r.from_edge_len + r.across_len < width for r in plan.recesses)


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"channel_len": inches(46)}, "channel"),  # 46.75 in of recess and 1 in either side
        ({"bolt_end_len": inches(20)}, "bolt_end"),
        ({"bolt_end_len": inches("1/2")}, "bolt_end"),  # the slot would run out of the end
        ({"bolts": 15, "channel_len": inches(8)}, "bolts"),
        ({"bolt_len": inches("3/4"), "channel_wide_len": inches(1)}, "bolt"),
        ({"count": 30, "length_len": inches(48)}, "count"),
    ],
)
def test_what_does_not_fit_is_refused(changes, field):
    with pytest.raises(OutOfRange) as caught:
        stiffening(replace(TOP, **changes))
    assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"width_len": inches(11)}, "width", OutOfRange),
        ({"thickness_len": inches("1/4")}, "thickness", OutOfRange),
        ({"count": 0}, "count", OutOfRange),
        ({"bolts": 4}, "bolts", OutOfRange),
        ({"channel_wall_len": inches("1/2")}, "channel_wall", OutOfRange),
        ({"channel_deep_len": inches(5)}, "channel_deep", OutOfRange),
        ({"across_mpa": Decimal(1)}, "across", OutOfRange),
        ({"species": "plywood"}, "species", Unknown),
        ({"species": None}, "species", Unreadable),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed
