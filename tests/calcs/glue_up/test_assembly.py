from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.glue_up.assembly import assembly_time
from calcs.kit.errors import OutOfRange
from calcs.materials.product_sheets import glue_classes

GLUES = glue_classes()
REF_C = GLUES["pva"].ref_temp_c  # 70 °F


def share(key, temp, rh):
    return assembly_time(GLUES[key], temp_c=Decimal(str(temp)), rh_pct=Decimal(str(rh))).share


# Open times in print are for 70 °F and 50 % RH (conditions of data/adhesives.csv): there they stand.
@pytest.mark.parametrize("key", GLUES)
def test_the_sheets_own_air_changes_nothing(key):
    day = assembly_time(GLUES[key], temp_c=GLUES[key].ref_temp_c, rh_pct=Decimal(50))
    assert (day.open_s, day.closed_s, day.why) == (GLUES[key].open_s, GLUES[key].closed_s, "")


# Saturation pressure at 70 °F 2.503 kPa, at 90 °F 4.821 kPa (steam tables, from memory: 0.3632 and 0.6988
# psia): in equally humid air the deficit, and with it the loss of water, is 1.924 times as great.
def test_warm_air_by_the_steam_tables():
    assert share("pva", "32.2", 50) == pytest.approx(0.3632 / 0.6988, rel=0.01)
    assert share("polyurethane", "32.2", 50) == pytest.approx(0.3632 / 0.6988, rel=0.01)


# At one temperature the deficit goes as 100 - RH: 30 % lacks 70, the sheet's 50 % lacks 50.
def test_dry_air_takes_water_sooner_and_gives_a_moisture_cured_glue_less():
    assert share("pva", REF_C, 30) == pytest.approx(5 / 7)
    assert share("polyurethane", REF_C, 30) == 1
    assert share("polyurethane", REF_C, 80) == pytest.approx(5 / 8)


# Arrhenius with Q/R = 6000 K (class table), 294.26 to 304.26 K: exp(6000 (1/304.26 - 1/294.26)) = 0.5115.
def test_epoxy_goes_by_its_rate():
    assert share("epoxy", "31.11", 50) == pytest.approx(0.5115, abs=0.002)


@given(
    st.sampled_from(list(GLUES)),
    st.decimals(min_value="21.2", max_value=32, places=1),
    st.decimals(min_value=1, max_value=100, places=0),
)
def test_climate_never_lengthens_an_open_time(key, temp, rh):
    day = assembly_time(GLUES[key], temp_c=temp, rh_pct=rh)
    assert 0 < day.share <= 1 and day.open_s <= GLUES[key].open_s and day.open_s <= day.closed_s


@pytest.mark.parametrize("temp", ["12", "33"])  # sheet: 55 to 90 °F
def test_outside_the_sheet_there_is_no_open_time(temp):
    with pytest.raises(OutOfRange) as caught:
        assembly_time(GLUES["pva"], temp_c=Decimal(temp), rh_pct=Decimal(50))
    assert caught.value.field == "temp" and "55 °F" in caught.value.allowed
