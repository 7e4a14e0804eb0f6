import doctest
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import numpy
import pytest

import calcs.moving
from calcs.errors import OutOfRange, Unknown, Unreadable
from calcs.moving import OWN_VALUE, Moving, changes, moving
from calcs.units import inches, to_inches
from tests.calcs.printed import rows

TOP = Moving(size_len=inches(40), species="walnut", mc_from_pct=Decimal(7), mc_to_pct=Decimal(11))


# Wood Handbook (2010) table 13-5, every species of the reference file (provenance in each row): 10 in over
# 4 % is the size x coefficient x change of eq. 13-2, to the nearest 1/8 µm.
@pytest.mark.parametrize("row", rows("coefficients"), ids=lambda row: row["species"])
@pytest.mark.parametrize("cut, column", [("flatsawn", "c_t"), ("quartersawn", "c_r")])
def test_every_species_moves_by_its_printed_coefficient(row, cut, column):
    found = moving(replace(TOP, species=row["species"], cut=cut, size_len=inches(10)))
    assert found.coefficient == Decimal(row[column])
    assert abs(to_inches(found.change_len) - Fraction(row[column]) * 40) * 203200 <= Fraction(1, 2)
    mark = {"read": "(read)", "memory": "(from memory)", "computed": "(worked out)"}[row["provenance"]]
    assert mark in found.source[0]


# Worked examples that give their own coefficient; half of the last place printed is allowed.
@pytest.mark.parametrize("row", [r for r in rows("movement") if r["unit"] == "in"], ids=lambda r: r["id"])
def test_your_own_value_is_taken_and_marked(row):
    asked = Moving(
        size_len=inches(row["start_size"]),
        coefficient=Decimal(row["coefficient"]),
        mc_from_pct=Decimal(row["mc_start_pct"]),
        mc_to_pct=Decimal(row["mc_end_pct"]),
    )
    found = moving(asked)
    last_place = Decimal(10) ** Decimal(row["change"]).as_tuple().exponent
    assert float(to_inches(found.change_len)) == pytest.approx(
        float(row["change"]), abs=float(last_place / 2)
    )
    assert found.notes[0] == found.source[0] == OWN_VALUE


# Wood Handbook (2010) table 4-2 at 70 °F: 35 % gives 6.9, 55 % gives 10.1; 3.2 x 0.00274 x 40 in = 0.351 in.
def test_the_seasons_of_a_room():
    found = moving(
        Moving(
            size_len=inches(40),
            species="walnut",
            temp_c=Decimal("21.1"),
            rh_low_pct=Decimal(35),
            rh_high_pct=Decimal(55),
        )
    )
    assert float(to_inches(found.change_len)) == pytest.approx(0.351, abs=0.015)
    assert any("4-5" in text for text in found.source)


def test_many_at_once_are_the_same_as_one_by_one():
    table = rows("coefficients")
    factors = numpy.array([float(row["c_t"]) for row in table])
    found = changes(
        numpy.full(len(table), 40.0), factors, numpy.full(len(table), 7.0), numpy.full(len(table), 11.0)
    )
    singly = [moving(replace(TOP, species=row["species"])).change_len / inches(1) for row in table]
    assert found == pytest.approx(singly, abs=1e-5)


@pytest.mark.parametrize("dry, wet, field", [(5.9, 8.0, "mc_from"), (7.0, 14.1, "mc_to")])
def test_one_moisture_outside_refuses_them_all(dry, wet, field):
    with pytest.raises(OutOfRange) as caught:
        changes(numpy.ones(2), numpy.ones(2), numpy.array([7.0, dry]), numpy.array([8.0, wet]))
    assert caught.value.field == field


@pytest.mark.parametrize(
    "more, field, error",
    [
        ({"species": None}, "species", Unreadable),
        ({"species": "unobtainium"}, "species", Unknown),
        ({"cut": "rift"}, "cut", Unknown),
        ({"size_len": 0}, "size", OutOfRange),
        ({"mc_from_pct": Decimal("5.9")}, "mc_from_pct", OutOfRange),
        ({"mc_to_pct": Decimal("14.1")}, "mc_to_pct", OutOfRange),
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
    "low, high, field", [(20, 50, "rh_low_pct"), (40, 80, "rh_high_pct"), (50, 40, "rh_high_pct")]
)
def test_seasons_outside_the_coefficients_are_refused(low, high, field):
    with pytest.raises(OutOfRange) as caught:
        moving(
            replace(TOP, mc_from_pct=None, mc_to_pct=None, rh_low_pct=Decimal(low), rh_high_pct=Decimal(high))
        )
    assert caught.value.field == field


def test_docstring_examples():
    assert doctest.testmod(calcs.moving).failed == 0
