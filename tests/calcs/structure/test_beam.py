import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.structure.beam import bend
from calcs.structure.beam_pieces import Beam


# A single load at a third of a simple span: a^2 b^2 / 3EIL under it (any text on strength of materials).
def test_a_load_off_the_middle():
    bent = bend(Beam(length=1.0, supports=(0.0, 1.0), ei=1.0), uniform=0.0, points=[(1 / 3, 1.0)])
    at = min(range(len(bent.places)), key=lambda n: abs(bent.places[n] - 1 / 3))
    assert bent.sags[at] == pytest.approx((1 / 3) ** 2 * (2 / 3) ** 2 / 3, rel=1e-9)
    assert bent.reactions == pytest.approx((2 / 3, 1 / 3), rel=1e-9)


places = st.integers(0, 300).map(lambda n: n / 100)


@given(st.lists(places, min_size=2, max_size=5, unique_by=lambda x: round(x, 1)), places, places)
def test_supports_carry_all_there_is_and_loads_add_up(supports, first, second):
    beam = Beam(length=3.0, supports=tuple(sorted(round(x, 1) for x in supports)), ei=2000.0, ga=40000.0)
    one = bend(beam, uniform=30.0, points=[(first, 100.0), (second, 0.0)])
    other = bend(beam, uniform=0.0, points=[(first, 0.0), (second, 70.0)])
    both = bend(beam, uniform=30.0, points=[(first, 100.0), (second, 70.0)])
    assert sum(both.reactions) == pytest.approx(260.0, rel=1e-6)
    turning = sum(x * up for x, up in zip(beam.supports, both.reactions, strict=True))
    assert turning == pytest.approx(90.0 * 1.5 + 100.0 * first + 70.0 * second, rel=1e-6, abs=1e-6)
    added = [a + b for a, b in zip(one.sags, other.sags, strict=True)]
    assert both.sags == pytest.approx(added, rel=1e-6, abs=1e-9)
