from decimal import Decimal

import pytest

from calcs.air import Air, dew_point, may_coat
from calcs.errors import OutOfRange, Unreadable
from calcs.units import parse_temperature
from tests.calcs.printed import rows

CASES = rows("dew_point")


# Dew point tables of coating makers, DIN 4108-5 and whole-degree charts, with the tolerance each claims:
# source, provenance and tolerance in tables/dew_point.csv. Dew points here carry one decimal: 0.05 more.
@pytest.mark.parametrize(
    "row", [row for row in CASES if row["kind"] == "dew_point"], ids=lambda row: row["case_id"]
)
def test_dew_points_match_printed_tables(row):
    air_c = Decimal(row["air_c"]) if row["air_c"] else parse_temperature(row["air_f"], unit="F")
    found = dew_point(Air(temp_c=air_c, rh_pct=Decimal(row["rh_pct"])))
    if row["answer_unit"] == "degF":
        found = found * 9 / 5 + 32
    assert found == pytest.approx(Decimal(row["answer"]), abs=Decimal(row["tolerance"]) + Decimal("0.05"))


# A paint maker's worked case (read): air 21 °C with a wet bulb of 17 °C (about 68 % RH by psychrometric
# table), surface 19 °C: yes.
def test_a_surface_three_degrees_above_the_dew_point_may_be_coated():
    row = next(row for row in CASES if row["kind"] == "ok_to_coat_3c")
    answer = may_coat(
        Air(temp_c=Decimal(row["air_c"]), rh_pct=Decimal(68)), surface_c=Decimal(row["surface_c"])
    )
    assert answer.ok is (row["answer"] == "yes")


# Dew point at 20 °C and 60 %: 12.0 °C (marine coatings maker, sheet 1650, 2013), so 15.0 °C is the least.
@pytest.mark.parametrize("surface, ok", [("15.0", True), ("14.9", False)])
def test_the_margin_is_three_degrees(surface, ok):
    answer = may_coat(Air(temp_c=Decimal(20), rh_pct=Decimal(60)), surface_c=Decimal(surface))
    assert (answer.ok, answer.dew_point_c, answer.least_surface_c) == (ok, Decimal("12.0"), Decimal("15.0"))
    assert bool(answer.reasons) is not ok


def test_humid_air_is_refused_on_a_warm_surface():
    answer = may_coat(Air(temp_c=Decimal(20), rh_pct=Decimal(86)), surface_c=Decimal(30))
    assert not answer.ok and "85 %" in answer.reasons[0]


@pytest.mark.parametrize(
    "temp, rh, field, error",
    [
        (Decimal(20), Decimal(0), "rh_pct", OutOfRange),
        (Decimal(20), Decimal(101), "rh_pct", OutOfRange),
        (Decimal(96), Decimal(50), "temp", OutOfRange),
        (20.0, Decimal(50), "temp", Unreadable),
    ],
)
def test_air_that_cannot_be(temp, rh, field, error):
    with pytest.raises(error) as caught:
        Air(temp_c=temp, rh_pct=rh)
    assert caught.value.field == field
