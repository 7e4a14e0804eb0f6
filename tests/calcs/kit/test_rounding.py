from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.rounding import half_up, places, up


# EN 16931 example A (CEN/TC 434, 2026): 365.125 is printed as 365.13.
@pytest.mark.parametrize("value", [Decimal("365.125"), Fraction("365.125")])
def test_a_half_goes_up(value):
    assert str(places(value, 2)) == "365.13"
    assert str(places(-value, 2)) == "-365.13"


@pytest.mark.parametrize("value", [Decimal("-0.001"), Fraction(-1, 1000), -0.001])
def test_nothing_is_minus_zero(value):
    assert str(places(value, 2)) == "0.00"


# The reference is the decimal module of the standard library.
@given(st.decimals(min_value=-(10**9), max_value=10**9, places=5), st.integers(min_value=0, max_value=4))
def test_fractions_round_like_decimals(value, count):
    expected = value.quantize(Decimal(1).scaleb(-count), ROUND_HALF_UP)
    assert places(Fraction(value), count) == places(value, count) == expected


@pytest.mark.parametrize(
    "value, nearest, above", [("5/2", 3, 3), ("-5/2", -2, -2), ("7/3", 2, 3), ("-7/3", -2, -2), ("2", 2, 2)]
)
def test_whole_numbers(value, nearest, above):
    assert (half_up(Fraction(value)), up(Fraction(value))) == (nearest, above)
