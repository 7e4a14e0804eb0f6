from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.errors import OutOfRange, Unknown, Unreadable
from calcs.swing import Seasons, Swing, slot, swing
from calcs.units import inches, mm, to_inches, to_mm
from tests.calcs.printed import rows

MC = st.decimals(min_value=6, max_value=14, places=2)
SIZES = st.integers(0, inches(240))


def seasons(made, dry, humid, coefficient="0.00274"):
    return Swing(
        coefficient=Decimal(str(coefficient)),
        mc_made_pct=Decimal(str(made)),
        mc_dry_pct=Decimal(str(dry)),
        mc_humid_pct=Decimal(str(humid)),
        source=(),
    )


# Wood Handbook (2010) ch. 13 worked example and others, with provenance in tables/movement.csv; made in the
# first season they print. Half of the last place is allowed.
@pytest.mark.parametrize("row", rows("movement"), ids=lambda row: row["id"])
def test_a_season_moves_as_the_worked_examples(row):
    make, back = (inches, to_inches) if row["unit"] == "in" else (mm, to_mm)
    start, end = row["mc_start_pct"], row["mc_end_pct"]
    found = seasons(start, start, end, row["coefficient"]).humid_len(make(row["start_size"]))
    last = Decimal(row["change"]).as_tuple().exponent
    assert abs(back(found) - Fraction(row["change"])) <= Fraction(10) ** last / 2


# Wood Handbook (2010) table 4-2, 70 °F: 35 % RH 6.9 %, 55 % RH 10.1 % (rows of tables/emc.csv); the equation
# is within 0.2 of the older measured table.
def test_air_brings_the_moisture_of_the_table():
    printed = {row["rh_pct"]: row["emc_pct"] for row in rows("emc") if row["temperature_f"] == "70"}
    found = swing(Seasons(species="walnut", temp_c=Decimal("21.1")))
    assert float(found.mc_dry_pct) == pytest.approx(float(printed["35"]), abs=0.2)
    assert float(found.mc_humid_pct) == pytest.approx(float(printed["55"]), abs=0.2)


# Wood Handbook (2010) table 13-5, black walnut: 0.00190 radial, 0.00274 tangential (read).
def test_coefficients_are_the_tables_or_your_own():
    assert swing(Seasons(species="walnut")).coefficient == Decimal("0.00274")
    assert swing(Seasons(species="walnut", cut="quartersawn")).coefficient == Decimal("0.00190")
    own = swing(Seasons(coefficient=Decimal("0.0031")))
    assert own.coefficient == Decimal("0.0031") and "your own value" in own.source[0]


@given(MC, MC, MC, SIZES)
def test_travel_holds_every_season_and_the_day_it_was_made(made, one, other, size):
    of = seasons(made, min(one, other), max(one, other))
    assert of.out_len(size) >= 0 <= of.in_len(size)
    for place in (0, of.dry_len(size), of.humid_len(size)):
        assert -of.in_len(size) <= place <= of.out_len(size)
    whole = seasons(min(one, other), min(one, other), max(one, other)).humid_len(size)
    assert of.travel_len(size) >= whole - 1


@given(MC, MC, MC, SIZES, st.booleans())
def test_a_bolt_never_meets_the_end_of_its_slot(made, one, other, size, in_wood):
    of = seasons(made, min(one, other), max(one, other))
    bolt, play = inches("1/4"), inches("1/16")
    found = slot(of, from_fixed_len=size, across_len=bolt, tolerance_len=play, in_wood=in_wood)
    for moved in (0, found.dry_len, found.humid_len):
        middle = found.inner_len + (-moved if in_wood else moved)
        assert middle - bolt // 2 >= play // 2 - 1
        assert found.slot_len - middle - bolt // 2 >= play // 2 - 1


@given(MC, MC, MC, SIZES, SIZES)
def test_further_from_the_fixed_point_the_slot_is_longer(made, one, other, near, far):
    of = seasons(made, min(one, other), max(one, other))
    slots = [slot(of, from_fixed_len=d, across_len=1, tolerance_len=0).slot_len for d in sorted((near, far))]
    assert slots[0] <= slots[1]


@pytest.mark.parametrize(
    "given_, field, error",
    [
        ({}, "species", Unreadable),
        ({"species": "plywood"}, "species", Unknown),
        ({"species": "walnut", "cut": "riftsawn"}, "cut", Unknown),
        ({"coefficient": Decimal("0.1")}, "coefficient", OutOfRange),
        ({"species": "walnut", "mc_made_pct": Decimal(5)}, "mc_made_pct", OutOfRange),
        ({"species": "walnut", "temp_c": Decimal(61)}, "temp", OutOfRange),
        ({"species": "walnut", "rh_low_pct": Decimal(0)}, "rh_low_pct", OutOfRange),
        ({"species": "walnut", "rh_low_pct": Decimal(60)}, "rh_high_pct", OutOfRange),
        ({"species": "walnut", "mc_dry_pct": Decimal(7)}, "mc_humid_pct", Unreadable),
        (
            {"species": "walnut", "mc_dry_pct": Decimal(9), "mc_humid_pct": Decimal(8)},
            "mc_humid_pct",
            OutOfRange,
        ),
        (
            {"species": "walnut", "mc_dry_pct": Decimal(5), "mc_humid_pct": Decimal(8)},
            "mc_dry_pct",
            OutOfRange,
        ),
    ],
)
def test_nonsense_is_refused(given_, field, error):
    with pytest.raises(error) as caught:
        Seasons(**given_)
    assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize("name, rh", [("rh_low_pct", 20), ("rh_high_pct", 85)])
def test_air_outside_the_coefficients_is_refused(name, rh):
    with pytest.raises(OutOfRange) as caught:
        swing(Seasons(species="walnut", **{name: Decimal(rh)}))
    assert caught.value.field == name and "6 to 14 %" in caught.value.allowed
