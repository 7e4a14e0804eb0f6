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
from calcs.wood.movement import Movement, change, movement
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
def test_the_straight_line_holds_from_6_to_14_percent_and_no_further(name):
    moist = {"mc_from": Decimal(9), "mc_to": Decimal(9)}
    for inside in (Decimal(6), Decimal(14)):
        assert change(size_len=inches(40), coefficient=Decimal("0.00274"), **moist | {name: inside}) != 0
        assert getattr(replace(TOP, **{name: inside}), name) == inside
    for outside in (Decimal("5.99"), Decimal("14.01")):
        with pytest.raises(OutOfRange) as caught:
            change(size_len=inches(40), coefficient=Decimal("0.00274"), **moist | {name: outside})
        assert (caught.value.field, caught.value.value) == (name, outside)


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
        ({"mc_from": Decimal("5.9")}, "mc_from", OutOfRange),
        ({"mc_to": Decimal("14.1")}, "mc_to", OutOfRange),
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


@pytest.mark.parametrize("low, high, field", [("20", "50", "rh_low"), ("40", "80", "rh_high")])
def test_a_season_outside_the_coefficients_is_refused(low, high, field):
    season = Season(
        size_len=inches(40), species="walnut", cut="flatsawn", rh_low=Decimal(low), rh_high=Decimal(high)
    )
    with pytest.raises(OutOfRange) as caught:
        season_change(season)
    assert caught.value.field == field


def test_the_humid_season_is_not_the_dry_one():
    with pytest.raises(OutOfRange) as caught:
        Season(size_len=inches(40), species="walnut", cut="flatsawn", rh_low=Decimal(50), rh_high=Decimal(40))
    assert caught.value.field == "rh_high"
