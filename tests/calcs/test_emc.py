import doctest
from decimal import Decimal

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.emc
from calcs.air import Air
from calcs.emc import RoomAir, emc, equilibrium_moisture, equilibrium_moistures
from calcs.errors import OutOfRange, Unreadable
from calcs.units import parse_temperature
from tests.calcs.printed import rows


# Wood Handbook, FPL-GTR-190 (2010), table 4-2, cell by cell, 30 to 200 °F. One decimal printed allows 0.05;
# the table was worked out from the °F form, which differs from the °C form by up to another 0.02.
@pytest.mark.parametrize("row", rows("emc"), ids=lambda row: f"{row['temperature_f']}F-{row['rh_pct']}")
def test_equilibrium_moisture_matches_table_4_2(row):
    air = Air(temp_c=parse_temperature(row["temperature_f"], unit="F"), rh_pct=Decimal(row["rh_pct"]))
    assert equilibrium_moisture(air) == pytest.approx(Decimal(row["emc_pct"]), abs=Decimal("0.07"))


@pytest.mark.parametrize(
    "temp, rh, field",
    [("-2", "50", "temp"), ("95.1", "50", "temp"), ("20", "96", "rh_pct"), ("20", "4.9", "rh_pct")],
)
def test_air_outside_the_table_is_refused(temp, rh, field):
    with pytest.raises(OutOfRange) as caught:
        equilibrium_moisture(Air(temp_c=Decimal(temp), rh_pct=Decimal(rh)))
    assert caught.value.field == field


# The same table by the form for many airs at once.
def test_many_airs_at_once_match_the_table():
    temps = numpy.array([(float(row["temperature_f"]) - 32) * 5 / 9 for row in rows("emc")])
    humidities = numpy.array([float(row["rh_pct"]) for row in rows("emc")])
    printed = numpy.array([float(row["emc_pct"]) for row in rows("emc")])
    assert abs(equilibrium_moistures(temps, humidities) - printed).max() < 0.07


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


# Wood Handbook (2010) table 4-2 at 70 °F: 35 % gives 6.9, 55 % gives 10.1.
def test_the_range_of_a_year():
    found = emc(RoomAir(temp_c=Decimal("21.1"), rh_low_pct=Decimal(35), rh_high_pct=Decimal(55)))
    assert found.mc_low_pct == pytest.approx(Decimal("6.9"), abs=Decimal("0.07"))
    assert found.mc_high_pct == pytest.approx(Decimal("10.1"), abs=Decimal("0.07"))
    assert found.mc_pct is None


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


def test_docstring_examples():
    assert doctest.testmod(calcs.emc).failed == 0
