import doctest
from decimal import Decimal

import pytest

import calcs.emc
from calcs.air import Air
from calcs.emc import equilibrium_moisture
from calcs.errors import OutOfRange
from calcs.units import parse_temperature
from tests.calcs.printed import rows


# Wood Handbook, FPL-GTR-190 (2010), table 4-2, cell by cell, 30 to 200 °F. One decimal printed allows 0.05;
# the table was worked out from the °F form, which differs from the °C form by up to another 0.02.
@pytest.mark.parametrize("row", rows("emc"), ids=lambda row: f"{row['temperature_f']}F-{row['rh_pct']}")
def test_equilibrium_moisture_matches_table_4_2(row):
    air = Air(temp_c=parse_temperature(row["temperature_f"], unit="F"), rh_pct=Decimal(row["rh_pct"]))
    assert equilibrium_moisture(air) == pytest.approx(Decimal(row["emc_pct"]), abs=Decimal("0.07"))


@pytest.mark.parametrize(
    "temp, rh, field", [("-2", "50", "temp_c"), ("95.1", "50", "temp_c"), ("20", "96", "rh_pct")]
)
def test_air_outside_the_table_is_refused(temp, rh, field):
    with pytest.raises(OutOfRange) as caught:
        equilibrium_moisture(Air(temp_c=Decimal(temp), rh_pct=Decimal(rh)))
    assert caught.value.field == field


def test_docstring_examples():
    assert doctest.testmod(calcs.emc).failed == 0
