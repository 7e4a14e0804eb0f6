from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.beam import Beam, bend
from tests.calcs.printed import rows

PRINTED = rows("beam")
CONTINUOUS = rows("continuous")
ENDS = {
    "both simply supported": {"supports": (0.0, 1.0)},
    "both clamped": {"supports": (0.0, 1.0), "clamped": True},
    "cantilever": {"supports": (0.0,), "clamped": True},
}
LOADS = {
    "uniform": (1.0, ()),
    "concentrated at midspan": (0.0, ((0.5, 1.0),)),
    "concentrated at outer quarter points": (0.0, ((0.25, 0.5), (0.75, 0.5))),
    "concentrated at free end": (0.0, ((1.0, 1.0),)),
}
PLACES = {"midspan": 0.5, "load point": 0.25, "free end": 1.0}


def unit(row, **stiff):
    """Total load, span and the stiffness asked are 1, so that a sag is a coefficient."""
    uniform, points = LOADS[row["loading"]]
    bent = bend(Beam(length=1.0, **ENDS[row["beam_ends"]], **stiff), uniform=uniform, points=points)
    place = min(range(len(bent.places)), key=lambda n: abs(bent.places[n] - PLACES[row["deflection_at"]]))
    return bent.sags[place]


# Wood Handbook FPL-GTR-190 (2010), table 9-1, every row: sag = k_b W L^3 / EI + k_s W L / GA'. The solve is
# exact at its nodes, so only rounding of the machine is allowed.
@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{row['loading']}, {row['beam_ends']}")
def test_sags_are_those_of_the_handbook(row):
    assert unit(row, ei=1.0) == pytest.approx(float(Fraction(row["k_b"])), rel=1e-9)
    assert unit(row, ei=1e9, ga=1.0) == pytest.approx(float(Fraction(row["k_s"])), rel=1e-6)


# Hicks, Civil Engineering Formulas (2002), table 2.1: equal spans under a uniform load. Fractions are exact,
# decimals printed to four places.
@pytest.mark.parametrize("row", CONTINUOUS, ids=lambda row: row["spans"])
def test_many_spans_share_the_load_as_printed(row):
    spans = int(row["spans"])
    supports = tuple(float(n) for n in range(spans + 1))
    bent = bend(Beam(length=float(spans), supports=supports, ei=1.0), uniform=1.0)
    printed = [float(Fraction(each)) for each in row["reactions_over_wl"].split()]
    assert bent.reactions == pytest.approx(printed, rel=1e-9)
    for n, moment in enumerate(row["support_moments_over_wl2"].split(), start=1):
        piece = bent.places.index(float(n))
        assert bent.moments[piece][0] == pytest.approx(-float(Fraction(moment)), rel=1e-8)
    if row["span_moments_over_wl2"]:
        highest = max(float(Fraction(each)) for each in row["span_moments_over_wl2"].split())
        assert max(max(piece) for piece in bent.moments) == pytest.approx(highest, abs=0.00005)


# Lindeburg, Civil Engineering Reference Manual, 15th ed., two equal spans: 0.00541 w L^4 / EI at 0.4215 L.
def test_two_spans_sag_most_where_printed():
    where, sag = bend(Beam(length=2.0, supports=(0.0, 1.0, 2.0), ei=1.0), uniform=1.0).deepest(0.0, 1.0)
    assert (where, sag) == (pytest.approx(0.4215, abs=0.0005), pytest.approx(0.00541, abs=0.00001))


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
