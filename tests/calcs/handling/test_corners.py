from math import cos, hypot, pi, sin, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calcs.handling.corners import longest_round, narrowest

sizes = st.floats(0.1, 10.0)


# Wetzel, Rectangles in Rectangles, Mathematics Magazine 73 (2000), after Carver (1957; condition read):
# p x q goes into a x b, p >= q, a >= b, if p <= a and q <= b, or p > a and b >= the fraction below.
@given(sizes, sizes, sizes, sizes)
def test_a_rectangle_fits_where_carver_says(p, q, a, b):
    p, q, a, b = max(p, q), min(p, q), max(a, b), min(a, b)
    if p <= a:
        room = b - q
    else:
        assume(q <= a)
        room = b - (2 * p * q * a + (p * p - q * q) * sqrt(p * p + q * q - a * a)) / (p * p + q * q)
    assume(abs(room) > 1e-9)
    found = narrowest(p, q, a)
    assert found is not None
    # Carver's opening is no higher than wide; one that is wide enough for lying flat is no such
    assert (found[0] <= b) == (room >= 0)


@given(sizes, sizes, sizes)
def test_no_other_lean_is_narrower(long, short, height):
    found = narrowest(long, short, height)
    leans = [pi / 2 * n / 500 for n in range(501)]
    wide = [long * sin(t) + short * cos(t) for t in leans if long * cos(t) + short * sin(t) <= height + 1e-12]
    if found is None:
        assert not wide
        return
    lean = found[1]
    tall, thin = max(long, short), min(long, short)
    assert tall * sin(lean) + thin * cos(lean) == pytest.approx(found[0])
    assert tall * cos(lean) + thin * sin(lean) <= height * (1 + 1e-9)
    assert all(found[0] <= each + 1e-9 for each in wide)


# The ladder problem (calculus texts; read): the longest ladder is (a^(2/3) + b^(2/3))^(3/2).
@given(sizes, sizes)
def test_a_ladder_goes_round_as_calculus_says(a, b):
    longest = (a ** (2 / 3) + b ** (2 / 3)) ** 1.5
    assert longest_round(a, b, 0.0) == pytest.approx(longest, rel=1e-6)


# Corridors of width 1 and a slab of thickness w: at 45 degrees the corner lies sqrt 2 - L/2 off its side, so
# L = 2 sqrt 2 - 2 w as long as that angle is the tight one.
@pytest.mark.parametrize("thick", [0.0, 0.1, 0.3, 0.5])
def test_equal_corridors_by_hand(thick):
    assert longest_round(1.0, 1.0, thick) == pytest.approx(2 * sqrt(2) - 2 * thick, rel=1e-9)


def reachable(a, b, long, thick, steps=64, turns=46):
    """Flood over places and angles of a rectangle in the bent corridor, from before to after."""
    size = max(a, b, long) * 1.25
    spots = [size * n / steps for n in range(steps + 1)]

    def free(i, j, k):
        t = pi / 2 * k / (turns - 1)  # its long side below the x axis
        x, y, u, v = spots[i], spots[j], (cos(t), -sin(t)), (sin(t), cos(t))
        for along in (-long / 2, long / 2):
            for beside in (-thick / 2, thick / 2):
                px, py = x + along * u[0] + beside * v[0], y + along * u[1] + beside * v[1]
                if px < -1e-9 or py < -1e-9 or (px > a + 1e-9 and py > b + 1e-9):
                    return False
        along, beside = (a - x) * u[0] + (b - y) * u[1], (a - x) * v[0] + (b - y) * v[1]
        return not (abs(along) < long / 2 - 1e-9 and abs(beside) < thick / 2 - 1e-9)

    start = [(i, j, turns - 1) for i in range(steps + 1) for j in range(steps * 3 // 5, steps + 1)]
    open_ = {state for state in start if spots[state[1]] - long / 2 >= b and free(*state)}
    seen = set(open_)
    while open_:
        i, j, k = open_.pop()
        if spots[i] - long / 2 >= a and k == 0:
            return True
        for other in (
            (i + 1, j, k), (i - 1, j, k), (i, j + 1, k), (i, j - 1, k), (i, j, k + 1), (i, j, k - 1),
            (i + 1, j - 1, k), (i + 1, j, k - 1), (i, j - 1, k - 1), (i + 1, j - 1, k - 1),
        ):  # fmt: skip
            if (
                other not in seen
                and 0 <= other[0] <= steps
                and 0 <= other[1] <= steps
                and 0 <= other[2] < turns
                and free(*other)
            ):
                seen.add(other)
                open_.add(other)
    return False


# A search over all places and angles, no formula: an eighth shorter goes round, a tenth longer does not.
@pytest.mark.parametrize("a, b, thick", [(1.0, 1.0, 0.3), (1.0, 1.4, 0.3)])
def test_nothing_longer_goes_round_by_search(a, b, thick):
    longest = longest_round(a, b, thick)
    assert reachable(a, b, longest * 0.875, thick)
    assert not reachable(a, b, longest * 1.1, thick)


def test_what_is_too_thick_goes_nowhere():
    assert longest_round(1.0, 0.5, 0.6) is None
    assert narrowest(3.0, 2.0, 1.0) is None
    # as thick as the corridor: shoved sideways, no longer than the other is wide
    assert longest_round(1.0, 1.0, 1.0) == pytest.approx(1.0, abs=1e-3)
    assert narrowest(3.0, 1.0, hypot(3.0, 1.0)) == (1.0, 0.0)
