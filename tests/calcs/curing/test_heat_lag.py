from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.curing.heat_lag import CAPACITY_J_M3K, CONDUCTIVITY_W_MK, FILM_W_M2K, lag_of
from calcs.kit.units import inches, mm

THICK = st.integers(inches("1/8"), inches(12))


# By hand, a veneer of 1 mm: a lump, 0.0005 m x 0.98 MJ/m³K / 7.69 W/m²K is 63.7 s; its Biot number is 0.025.
def test_thin_stock_follows_as_a_lump():
    assert lag_of(mm(1)) == pytest.approx(63.7, rel=0.01)


# By hand, 1 m: the film hardly counts (Bi 25), 4 L² / (pi² a) is 640,000 s and the film adds a twelfth.
def test_thick_stock_follows_by_its_own_conduction():
    conducted = 4 * 0.5**2 * CAPACITY_J_M3K / (pi**2 * CONDUCTIVITY_W_MK)
    assert conducted < lag_of(mm(1000)) < 1.1 * conducted


# The trade's estimate was an hour at 1 3/4 in (common practice, no source).
def test_a_top_follows_in_about_an_hour():
    assert lag_of(inches("7/4")) == pytest.approx(3600, rel=0.15)


@given(THICK)
def test_a_lag_lies_between_the_lump_and_the_two_resistances_one_after_the_other(thickness):
    half = thickness / 8_000_000 / 2
    lump = half * CAPACITY_J_M3K / FILM_W_M2K
    conducted = 4 * half**2 * CAPACITY_J_M3K / (pi**2 * CONDUCTIVITY_W_MK)
    assert max(lump, conducted) < lag_of(thickness) < lump + conducted


@given(THICK, st.integers(1, inches(1)))
def test_thicker_stock_follows_later(thickness, more):
    assert lag_of(thickness) < lag_of(thickness + more)
