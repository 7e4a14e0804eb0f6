from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.structure.loaded_top import LoadedTop, PointLoad
from calcs.structure.sag import sag

DESK = LoadedTop(
    length_len=inches(60),
    width_len=inches(30),
    thickness_len=inches("3/2"),
    supports_len=(0, inches(60)),
    species="sugar maple",
)


# The handbook's modulus comes from a centre load on a span of 14 depths and may be raised 10 % to take shear
# out (Hardwood Manufacturers Association, note (c)): so there both ways of counting agree, to the rounding of
# that 10 % (9.8 % with a shear modulus of 1/16).
def test_shear_is_what_the_tabled_modulus_holds_already():
    test = LoadedTop(
        length_len=inches(28),
        width_len=inches(2),
        thickness_len=inches(2),
        supports_len=(0, inches(28)),
        species="white oak",
        own_weight=False,
        points=(PointLoad(load_kg=Decimal(50), at_len=inches(14)),),
    )
    assert sag(test).sag_len == pytest.approx(sag(replace(test, shear=False)).sag_len, rel=0.003)


def test_what_passes_does_not_sag_on():
    desk = replace(DESK, own_weight=False, load_kg=Decimal(40))
    stays, passes = sag(desk), sag(replace(desk, load_stays=False))
    assert stays.later_len > passes.later_len == passes.sag_len == stays.sag_len


# NDS (2018) 3.5.2 puts 1.5 on lasting loads of dry lumber, and the Wood Handbook speaks of doubling (both
# from memory): ours lies between.
def test_creep_lies_between_other_rules():
    found = sag(replace(DESK, load_kg=Decimal(40)))
    assert 1.5 <= found.later_len / found.sag_len <= 2.0


def test_own_weight_counts_with_the_moisture_it_has():
    # sugar maple, density at 8 % about 666 kg/m3 by hand: 0.63/(1.0 + 0.159x0.63) basic 0.5727 ->
    # 0.5727/(1 - 0.265x0.7333x0.5727) = 0.6444 -> x 1.08 x 1000 = 696 kg/m3; x 0.044245 m3
    assert float(sag(DESK).total_kg) == pytest.approx(696 * 1.524 * 0.762 * 0.0381, abs=0.1)


def test_an_overhang_lifts_the_span_and_a_light_support_lifts_off():
    over = replace(
        DESK,
        supports_len=(inches(6), inches(20), inches(30)),
        points=(PointLoad(load_kg=Decimal(60), at_len=inches(60)),),
    )
    found = sag(over)
    names = [each.name for each in found.stretches]
    assert names == ["left overhang", "span 1", "span 2", "right overhang"]
    assert found.stretches[-1].sag_len > 0 > found.stretches[2].sag_len
    assert min(found.reactions_n) < 0
    assert any("lifts off the support at 20" in warning for warning in found.warnings)


def test_it_says_what_it_does_not_cover():
    found = sag(replace(DESK, thickness_len=inches("3/4"), load_kg=Decimal(60)))
    assert "standing" in found.cautions[0] and "shock" in found.cautions[0]
    assert any("will be seen" in warning for warning in found.warnings)


@given(st.integers(20, 150), st.integers(20, 150), st.integers(16, 24))
def test_more_load_sags_more_and_a_thicker_top_less(load, more, sixteenths):
    light, heavy = sorted((load, load + more))
    top = replace(DESK, thickness_len=inches(Fraction(sixteenths, 16)), own_weight=False)
    found = [sag(replace(top, load_kg=Decimal(each))).sag_len for each in (light, heavy)]
    assert found[0] < found[1]
    assert found[1] == pytest.approx(found[0] * heavy / light, rel=1e-3)
    thicker = replace(top, thickness_len=top.thickness_len * 2, load_kg=Decimal(light))
    assert sag(thicker).sag_len < found[0]


@given(st.integers(1, 59))
def test_a_mirrored_top_sags_alike(place):
    point = (PointLoad(load_kg=Decimal(50), at_len=inches(place)),)
    mirrored = (PointLoad(load_kg=Decimal(50), at_len=inches(60 - place)),)
    one, other = sag(replace(DESK, points=point)), sag(replace(DESK, points=mirrored))
    assert one.sag_len == pytest.approx(other.sag_len, abs=2)


@pytest.mark.parametrize("changes, field, error", [
    ({"length_len": 0}, "length", OutOfRange),
    ({"supports_len": ()}, "supports", OutOfRange),
    ({"supports_len": (inches(30),)}, "supports", OutOfRange),  # one alone tips
    ({"supports_len": (0, inches(61))}, "supports", OutOfRange),
    ({"supports_len": (inches(30), inches(10))}, "supports", OutOfRange),
    ({"supports_len": 7}, "supports", Unreadable),
    ({"points": (PointLoad(load_kg=Decimal(1), at_len=inches(61)),)}, "points", OutOfRange),
    ({"species": None}, "species", OutOfRange),
    ({"species": None, "stiffness_mpa": Decimal(9000)}, "own_weight", OutOfRange),
    ({"species": "iroko"}, "species", Unknown),  # moves by the table, has no modulus there
    ({"stiffness_mpa": Decimal(100)}, "stiffness", OutOfRange),
    ({"load_kg": Decimal(-1)}, "load", OutOfRange),
    ({"held": "glued"}, "held", Unknown),
    ({"climate": "outdoors"}, "climate", Unknown),
    ({"shear": 1}, "shear", Unreadable),
])  # fmt: skip
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(DESK, **changes)
    assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize("changes", [
    {"thickness_len": inches("1/4"), "load_kg": Decimal(40)},  # bends like a rope
    {"load_kg": Decimal(5000), "supports_len": (0, inches(59))},  # would break
])  # fmt: skip
def test_beyond_the_law_there_is_no_figure(changes):
    with pytest.raises(OutOfRange) as caught:
        sag(replace(DESK, **changes))
    assert caught.value.field == "load"


@pytest.mark.parametrize("changes, field", [({"load_kg": Decimal(0)}, "load"), ({"at_len": -1}, "at")])
def test_a_load_is_checked(changes, field):
    with pytest.raises(OutOfRange) as caught:
        replace(PointLoad(load_kg=Decimal(1), at_len=0), **changes)
    assert caught.value.field == field
