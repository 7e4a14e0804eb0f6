from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown
from calcs.kit.units import inches
from calcs.materials.species import species
from calcs.wood.air import Air
from calcs.wood.emc import equilibrium_moisture
from calcs.wood.movement import RULE, WIDE, WIDE_RULE, Movement, change, movement
from calcs.wood.season_change import Season, season_change

TOP = Movement(
    size_len=inches(40), species="black walnut", cut="flatsawn", mc_from=Decimal(7), mc_to=Decimal(11)
)


def test_a_cut_uses_its_own_coefficient():
    walnut = species("black walnut")
    assert movement(replace(TOP, cut="quartersawn")).coefficient == walnut.radial
    assert movement(TOP).coefficient == walnut.tangential
    assert any("Table 13-5 (read)" in text for text in movement(TOP).source)


# Wood Handbook FPL-GTR-190 (2010), table 13-5: black walnut 0.00274 tangential, 0.00190 radial; eq. 13-2 by
# hand: 40 in x 0.00274 x 4 = 0.4384 in, x 203,200 units to the inch = 89,082.88; x 0.00190 x 4 = 0.304 in.
@pytest.mark.parametrize(
    "cut, mc_from, mc_to, change",
    [
        ("flatsawn", 7, 11, 89083), ("flatsawn", 11, 7, -89083), ("quartersawn", 7, 11, 61773),
        ("quartersawn", 11, 7, -61773), ("flatsawn", 9, 9, 0),
    ],
)  # fmt: skip
def test_the_end_is_wider_where_it_takes_up_moisture_and_narrower_where_it_dries(cut, mc_from, mc_to, change):
    move = movement(replace(TOP, cut=cut, mc_from=Decimal(mc_from), mc_to=Decimal(mc_to)))
    assert (move.change_len, move.end_len) == (change, 40 * 203200 + change)
    assert (move.mc_from, move.mc_to) == (mc_from, mc_to)


@pytest.mark.parametrize("name", ["mc_from", "mc_to"])
def test_moisture_runs_from_ovendry_to_fibre_saturation(name):
    moist = {"mc_from": Decimal(9), "mc_to": Decimal(9)}
    for inside in (Decimal(0), Decimal(6), Decimal(14), Decimal(30)):
        assert change(size_len=inches(40), coefficient=Decimal("0.00274"), **moist | {name: inside}) != 0
        assert getattr(replace(TOP, **{name: inside}), name) == inside
    for outside in (Decimal("-0.01"), Decimal("30.01")):
        with pytest.raises(OutOfRange) as caught:
            change(size_len=inches(40), coefficient=Decimal("0.00274"), **moist | {name: outside})
        assert (caught.value.field, caught.value.value) == (name, outside)


# Eq. 13-3 by hand, black walnut 7.8 % tangential (table 4-3): 3000/7.8 - 30 = 354.615; 40 in from 4 to 10 %
# is 240 / 358.615 = 0.6692 in; from 10 to 4 %, -240 / 364.615 = -0.6582; from 12 to 18 %, 240 / 366.615 =
# 0.6546; from 4 to 18 %, 560 / 358.615 = 1.5616. The coefficient's five places move it by 0.2 % at most.
@pytest.mark.parametrize(
    "mc_from, mc_to, printed", [(4, 10, 0.6692), (10, 4, -0.6582), (12, 18, 0.6546), (4, 18, 1.5616)]
)
def test_beyond_6_to_14_percent_the_total_shrinkage_counts_and_it_says_so(mc_from, mc_to, printed):
    move = movement(replace(TOP, mc_from=Decimal(mc_from), mc_to=Decimal(mc_to)))
    assert move.change_len / inches(1) == pytest.approx(printed, rel=0.002)
    assert WIDE in move.notes and WIDE_RULE in move.source and RULE not in move.source
    inside = movement(TOP)
    assert WIDE not in inside.notes and RULE in inside.source and WIDE_RULE not in inside.source


def test_both_relations_agree_at_the_ends_of_the_straight_line():
    """Eq. 13-2 is for the size at 10 %: from there both are the same, and at 6 and 14 % there is no jump."""
    for end, beyond in (("14", "14.01"), ("6", "5.99")):
        near, past = (
            movement(replace(TOP, mc_from=Decimal(10), mc_to=Decimal(mc))).change_len for mc in (end, beyond)
        )
        assert abs(past) > abs(near) and abs(past - near) < inches(40) * 0.00274 * 0.011


def test_a_coefficient_has_a_range():
    given_ = {"size_len": inches(40), "mc_from": Decimal(7), "mc_to": Decimal(11)}
    assert change(coefficient=Decimal(0), **given_) == 0
    assert change(coefficient=Decimal("0.01"), **given_) == 325120  # 40 in x 0.01 x 4 = 1.6 in
    for outside in ("-0.0001", "0.0101"):
        with pytest.raises(OutOfRange) as caught:
            change(coefficient=Decimal(outside), **given_)
        assert caught.value.field == "coefficient"


def test_a_size_has_a_range():
    for inside in (inches("1/64"), inches(480)):
        assert movement(replace(TOP, size_len=inside)).change_len > 0
    for outside in (inches("1/64") - 1, inches(480) + 1):
        with pytest.raises(OutOfRange) as caught:
            replace(TOP, size_len=outside)
        assert caught.value.field == "size"


@given(
    st.decimals(min_value=6, max_value=14, places=2),
    st.decimals(min_value=6, max_value=14, places=2),
    st.integers(min_value=inches("1/64"), max_value=inches(480)),
)
def test_back_again_undoes_the_change(dry, wet, size):
    there = movement(replace(TOP, size_len=size, mc_from=dry, mc_to=wet)).change_len
    back = movement(replace(TOP, size_len=size, mc_from=wet, mc_to=dry)).change_len
    assert abs(there + back) <= 1
    assert there == 0 or (there > 0) == (wet > dry)


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"mc_from": Decimal("-0.1")}, "mc_from", OutOfRange),
        ({"mc_to": Decimal("30.1")}, "mc_to", OutOfRange),
        ({"size_len": 0}, "size", OutOfRange),
        ({"species": "unobtainium"}, "species", Unknown),
        ({"cut": "riftsawn"}, "cut", Unknown),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed


def test_a_season_is_a_movement_between_its_two_airs():
    room = {"temp_c": Decimal("21.1"), "rh_low": Decimal(35), "rh_high": Decimal(55)}
    swing = season_change(Season(size_len=inches(40), species="walnut", cut="flatsawn", **room))
    dry, humid = (equilibrium_moisture(Air(temp_c=Decimal("21.1"), rh_pct=Decimal(rh))) for rh in (35, 55))
    assert (swing.mc_from, swing.mc_to) == (dry, humid)
    assert swing.change_len == movement(replace(TOP, mc_from=dry, mc_to=humid)).change_len


# Wood Handbook (2010) table 4-2, 70 °F: 3.5 % at 15 %, 4.5 at 20, 5.4 at 25, 9.2 at 50, 11.0 at 60, 16.0
# at 80; eq. 13-3 as above: 40 (to - from) / (354.615 + from).
@pytest.mark.parametrize(
    "low, high, dry, humid", [("15", "50", 3.5, 9.2), ("20", "60", 4.5, 11.0), ("25", "80", 5.4, 16.0)]
)
def test_heated_winters_and_damp_summers_get_an_answer(low, high, dry, humid):
    season = Season(
        size_len=inches(40), species="walnut", cut="flatsawn", rh_low=Decimal(low), rh_high=Decimal(high)
    )
    found = season_change(season)
    assert (float(found.mc_from), float(found.mc_to)) == pytest.approx((dry, humid), abs=0.07)
    by_hand = 40 * (float(found.mc_to) - float(found.mc_from)) / (354.615 + float(found.mc_from))
    assert found.change_len / inches(1) == pytest.approx(by_hand, rel=0.002)


def test_the_humid_season_is_not_the_dry_one():
    with pytest.raises(OutOfRange) as caught:
        Season(size_len=inches(40), species="walnut", cut="flatsawn", rh_low=Decimal(50), rh_high=Decimal(40))
    assert caught.value.field == "rh_high"
