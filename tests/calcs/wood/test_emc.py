from decimal import Decimal

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unreadable
from calcs.wood.air import Air
from calcs.wood.emc import RoomAir, emc, equilibrium_moisture, equilibrium_moistures


@pytest.mark.parametrize(
    "temp, rh, field",
    [("-2", "50", "temp"), ("95.1", "50", "temp"), ("20", "96", "rh_pct"), ("20", "4.9", "rh_pct")],
)
def test_air_outside_the_table_is_refused(temp, rh, field):
    with pytest.raises(OutOfRange) as caught:
        equilibrium_moisture(Air(temp_c=Decimal(temp), rh_pct=Decimal(rh)))
    assert caught.value.field == field


def test_many_airs_at_once_are_the_same_as_one_by_one():
    airs = [(temp, rh) for temp in (-1, 10, 21.1, 40, 60, 95) for rh in (5, 30, 55, 80, 95)]
    temps, humidities = (numpy.array(each, dtype=float) for each in zip(*airs, strict=True))
    singly = [
        float(equilibrium_moisture(Air(temp_c=Decimal(str(temp)), rh_pct=Decimal(rh)))) for temp, rh in airs
    ]
    assert equilibrium_moistures(temps, humidities) == pytest.approx(singly, abs=0.0051)


@pytest.mark.parametrize(
    "temps, humidities, field", [([20, 96], [50, 50], "temp"), ([20, 20], [4, 50], "rh_pct")]
)
def test_one_air_outside_refuses_them_all(temps, humidities, field):
    with pytest.raises(OutOfRange) as caught:
        equilibrium_moistures(numpy.array(temps), numpy.array(humidities))
    assert caught.value.field == field


@given(
    st.decimals(min_value=0, max_value=60, places=1),
    st.decimals(min_value=5, max_value=95, places=1),
    st.decimals(min_value=5, max_value=95, places=1),
)
def test_wetter_air_makes_wetter_wood(temp, one, other):
    dry, wet = sorted((one, other))
    found = emc(RoomAir(temp_c=temp, rh_low_pct=dry, rh_high_pct=wet))
    assert found.mc_low_pct <= found.mc_high_pct
    assert found.swing_pct == found.mc_high_pct - found.mc_low_pct


def test_the_range_of_a_year_is_between_its_two_airs():
    found = emc(RoomAir(rh_low_pct=Decimal(35), rh_high_pct=Decimal(55)))
    dry, humid = (emc(RoomAir(rh_pct=Decimal(rh))).mc_pct for rh in (35, 55))
    assert (found.mc_low_pct, found.mc_high_pct, found.mc_pct) == (dry, humid, None)


@pytest.mark.parametrize("rh, said", [(25, "drier"), (38, "inside"), (60, "wetter")])
def test_interiors_want_6_to_8(rh, said):
    assert said in emc(RoomAir(rh_pct=Decimal(rh))).notes[1]


@pytest.mark.parametrize(
    "more, field, error",
    [
        ({}, "rh_pct", Unreadable),
        ({"rh_low_pct": Decimal(30)}, "rh_pct", Unreadable),
        ({"rh_pct": Decimal(30), "rh_high_pct": Decimal(40)}, "rh_pct", Unreadable),
        (
            {"rh_pct": Decimal(30), "rh_low_pct": Decimal(30), "rh_high_pct": Decimal(40)},
            "rh_pct",
            Unreadable,
        ),
        ({"rh_low_pct": Decimal(50), "rh_high_pct": Decimal(40)}, "rh_high_pct", OutOfRange),
        ({"rh_pct": Decimal(96)}, "rh_pct", OutOfRange),
        ({"rh_pct": Decimal(50), "temp_c": Decimal(61)}, "temp", OutOfRange),
    ],
)
def test_nonsense_is_refused(more, field, error):
    with pytest.raises(error) as caught:
        RoomAir(**more)
    assert caught.value.field == field
