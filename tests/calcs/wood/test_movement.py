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
from calcs.wood.movement import Movement, movement
from calcs.wood.season_change import Season, season_change

TOP = Movement(
    size_len=inches(40), species="black walnut", cut="flatsawn", mc_from=Decimal(7), mc_to=Decimal(11)
)


def test_a_cut_uses_its_own_coefficient():
    walnut = species("black walnut")
    assert movement(replace(TOP, cut="quartersawn")).coefficient == walnut.radial
    assert movement(TOP).coefficient == walnut.tangential
    assert any("Table 13-5 (read)" in text for text in movement(TOP).source)


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
