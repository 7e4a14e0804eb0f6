import doctest
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import numpy
import pytest

import calcs.wood.movement_inputs
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.rounding import half_up
from calcs.kit.units import inches
from calcs.materials.species import species_list
from calcs.wood.movement_inputs import OWN_VALUE, MovementInputs, changes, movement_for

TOP = MovementInputs(size_len=inches(40), species="walnut", mc_from_pct=Decimal(7), mc_to_pct=Decimal(11))


def test_your_own_value_is_taken_and_marked():
    found = movement_for(replace(TOP, species=None, coefficient=Decimal("0.0031")))
    assert found.coefficient == Decimal("0.0031")
    assert found.change_len == half_up(inches(40) * Fraction("0.0124"))  # 4 points
    assert found.notes[0] == found.source[0] == OWN_VALUE


def test_the_seasons_of_a_room_are_two_moistures():
    room = {"temp_c": Decimal("21.1"), "rh_low_pct": Decimal(35), "rh_high_pct": Decimal(55)}
    found = movement_for(MovementInputs(size_len=inches(40), species="walnut", **room))
    same = movement_for(replace(TOP, mc_from_pct=found.mc_from, mc_to_pct=found.mc_to))
    assert found.change_len == same.change_len > 0
    assert any("4-5" in text for text in found.source)


def test_many_at_once_are_the_same_as_one_by_one():
    woods = species_list()
    sizes, factors = numpy.full(len(woods), 40.0), numpy.array([float(wood.tangential) for wood in woods])
    for dry, wet in ((7, 11), (4, 11), (7, 18)):
        found = changes(
            sizes, factors, numpy.full(len(woods), float(dry)), numpy.full(len(woods), float(wet))
        )
        between = {"mc_from_pct": Decimal(dry), "mc_to_pct": Decimal(wet)}
        singly = [
            movement_for(replace(TOP, species=wood.name, **between)).change_len / inches(1) for wood in woods
        ]
        assert found == pytest.approx(singly, abs=1e-5)


@pytest.mark.parametrize("dry, wet, field", [(-0.1, 8.0, "mc_from"), (7.0, 30.1, "mc_to")])
def test_one_moisture_outside_refuses_them_all(dry, wet, field):
    with pytest.raises(OutOfRange) as caught:
        changes(numpy.ones(2), numpy.ones(2), numpy.array([7.0, dry]), numpy.array([8.0, wet]))
    assert caught.value.field == field


@pytest.mark.parametrize(
    "more, field, error",
    [
        ({"species": None}, "species", Unreadable),
        ({"species": "unobtainium"}, "species", Unknown),
        ({"cut": "sideways"}, "cut", Unknown),
        ({"size_len": 0}, "size", OutOfRange),
        ({"mc_from_pct": Decimal("-0.1")}, "mc_from_pct", OutOfRange),
        ({"mc_to_pct": Decimal("30.1")}, "mc_to_pct", OutOfRange),
        ({"mc_to_pct": None}, "mc_from_pct", Unreadable),
        ({"rh_low_pct": Decimal(40)}, "mc_from_pct", Unreadable),
        ({"rh_low_pct": Decimal(40), "rh_high_pct": Decimal(50)}, "mc_from_pct", Unreadable),
        ({"coefficient": Decimal("0.02")}, "coefficient", OutOfRange),
    ],
)
def test_nonsense_is_refused(more, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **more)
    assert caught.value.field == field


@pytest.mark.parametrize(
    "low, high, field", [(4, 50, "rh_low_pct"), (40, 96, "rh_high_pct"), (50, 40, "rh_high_pct")]
)
def test_seasons_that_cannot_be_are_refused(low, high, field):
    with pytest.raises(OutOfRange) as caught:
        movement_for(
            replace(TOP, mc_from_pct=None, mc_to_pct=None, rh_low_pct=Decimal(low), rh_high_pct=Decimal(high))
        )
    assert caught.value.field == field


def test_docstring_examples():
    assert doctest.testmod(calcs.wood.movement_inputs).failed == 0


# Mixed and rift stock counts as flatsawn (common practice): the tangential coefficient of Table 13-5 (read).
@pytest.mark.parametrize("cut", ["rift", "mixed"])
def test_other_cuts_count_as_flatsawn(cut):
    sizes = {"size_len": inches(40), "species": "walnut", "mc_from_pct": Decimal(7), "mc_to_pct": Decimal(11)}
    flat, other = (movement_for(MovementInputs(**sizes, cut=each)) for each in ("flatsawn", cut))
    assert other.change_len == flat.change_len
