from decimal import Decimal

import pytest

from calcs.kit.errors import OutOfRange, Unreadable
from calcs.wood.air import Air, dew_point, may_coat


@pytest.mark.parametrize("more, ok", [("0", True), ("-0.1", False)])
def test_the_margin_is_three_degrees(more, ok):
    air = Air(temp_c=Decimal(20), rh_pct=Decimal(60))
    least = dew_point(air) + 3
    answer = may_coat(air, surface_c=least + Decimal(more))
    assert (answer.ok, answer.dew_point_c, answer.least_surface_c) == (ok, dew_point(air), least)
    assert bool(answer.reasons) is not ok


# By hand: 10.2 °C is 50.36 °F, 50 °F is 10 °C, and a difference of 3 °C is 5.4 °F.
def test_a_cold_surface_is_told_in_both_units():
    answer = may_coat(Air(temp_c=Decimal("20.000"), rh_pct=Decimal("53.2")), surface_c=Decimal("10.004"))
    assert answer.reasons == (
        "surface at 50 °F (10 °C) is less than 5.4 °F (3 °C) above the dew point of 50.4 °F (10.2 °C)",
    )


def test_humid_air_is_refused_on_a_warm_surface():
    answer = may_coat(Air(temp_c=Decimal(20), rh_pct=Decimal("86.00")), surface_c=Decimal(30))
    assert not answer.ok and answer.reasons == ("air at 86 % RH is above 85 %",)


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
