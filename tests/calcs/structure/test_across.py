from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import Unknown
from calcs.structure.across import across_grain, channel_inertia


def test_memory_is_marked_and_a_wood_without_ratio_refused():
    assert "(from memory)" in across_grain("walnut", "flatsawn").source[0]
    with pytest.raises(Unknown) as caught:
        across_grain("teak", "flatsawn")
    assert caught.value.field == "species" and "walnut" in caught.value.allowed


# The T of mechanics textbooks: flange 6 x 2 in on a stem 2 x 6 in has its middle 3 in below the top and
# I = 136 in^4 (by the parallel-axis theorem: 4 + 48 + 36 + 48; textbook case, from memory). Two legs of 1 in
# are a stem of 2 in.
def test_second_moment_by_the_textbook():
    assert channel_inertia(wide=Fraction(6), deep=Fraction(8), web=Fraction(2), leg=Fraction(1)) == 136


@given(*[st.integers(2, 60)] * 4)
def test_second_moment_is_the_sum_over_thin_layers(wide, deep, web, leg):
    if web >= deep or 2 * leg > wide:
        return
    layers = 10 * deep
    heights = [((n + 0.5) / 10, wide if n < 10 * web else 2 * leg) for n in range(layers)]
    area = sum(b for _, b in heights)
    middle = sum(b * y for y, b in heights) / area
    summed = sum(b * (y - middle) ** 2 for y, b in heights) / 10
    exact = channel_inertia(wide=Fraction(wide), deep=Fraction(deep), web=Fraction(web), leg=Fraction(leg))
    assert float(exact) == pytest.approx(summed, rel=0.01)


# A channel all web is a plate: b h^3 / 12.
def test_a_plate_is_the_limit():
    plate = channel_inertia(wide=Fraction(6), deep=Fraction(2), web=Fraction(2), leg=Fraction(1))
    assert plate == Fraction(6 * 2**3, 12)
