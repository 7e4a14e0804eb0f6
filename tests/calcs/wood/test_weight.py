from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, mm
from calcs.wood.density import density_kg_m3
from calcs.wood.weight import LB_PER_KG, Channel, TopWeight, weight

TOP = TopWeight(length_len=inches(96), width_len=inches(42), thickness_len=inches("7/4"), species="walnut")


# Drier wood has less water and less volume. Wood Handbook (2010) table 4-3: black walnut shrinks 12.8 % in
# volume from 30 % to dry, so 0.43 % a point; from 12 to 8 % that is 1.7 %, and 4 points of water leave.
def test_density_follows_moisture():
    expected = 550 * 1.08 / (1 - 0.128 * 4 / 30)
    assert float(density_kg_m3("walnut", Decimal(8))) == pytest.approx(expected, rel=0.005)


# Teak, Wood Handbook (2010) table 5-5b: 0.55 on green volume; green at 30 % the density is 0.55 x 1.30.
def test_an_import_counts_from_green_volume():
    assert density_kg_m3("teak", Decimal(30)) == 715


def test_a_top_by_hand():
    # 1 m3 of ponderosa pine (0.40 at 12 %) at 12 %: 448 kg; 2 m x 0.5 m x 0.04 m is 0.04 m3: 17.92 kg
    top = TopWeight(
        length_len=mm(2000),
        width_len=mm(500),
        thickness_len=mm(40),
        quantity=3,
        species="ponderosa pine",
        mc_pct=Decimal(12),
    )
    found = weight(top)
    assert (found.each_kg, found.all_kg) == (Decimal("17.9"), Decimal("53.8"))
    assert (found.each_lb, found.density_kg_m3) == (Decimal("39.5"), Decimal(448))  # 17.92 / 0.45359237
    assert any("from memory" in text for text in found.source)


# A hardwood dining top of 8 ft x 3 1/2 ft x 1 3/4 in weighs well over 150 lb (common practice, no source).
def test_a_dining_top_is_heavy():
    assert weight(TOP).each_lb > 150


def test_a_pound_is_what_nist_says():
    # NIST SP 811, 2008, appendix B.8: 1 lb = 0.45359237 kg
    assert Fraction("0.45359237") * LB_PER_KG == 1


BAR = Channel(
    count=1, length_len=inches(12), width_len=inches(4), leg_len=inches("1/4"), wall_len=inches("1/4")
)


def test_steel_and_fittings_weigh_on_the_top():
    bare, loaded = weight(TOP), weight(replace(TOP, channels=(BAR,), fittings_kg=Decimal("0.7"), quantity=2))
    assert loaded.wood_kg == bare.each_kg == bare.wood_kg
    assert float(loaded.each_kg) == pytest.approx(float(bare.each_kg + loaded.steel_kg) + 0.7, abs=0.1)
    assert float(loaded.all_kg) == pytest.approx(float(2 * loaded.each_kg), abs=0.1)
    assert any("steel 7850" in text for text in loaded.source)
    assert "not counted" in bare.notes[0]


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"count": 0}, "count"),
        ({"length_len": 0}, "length"),
        ({"width_len": inches(13)}, "width"),
        ({"leg_len": 0}, "leg"),
        ({"wall_len": 0}, "wall"),
        ({"wall_len": inches("3/8")}, "wall"),
        ({"width_len": inches("3/8")}, "wall"),
    ],
)
def test_a_channel_that_is_none_is_refused(changes, field):
    with pytest.raises(OutOfRange) as caught:
        replace(BAR, **changes)
    assert caught.value.field == field


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"length_len": 0}, "length", OutOfRange),
        ({"thickness_len": inches(13)}, "thickness", OutOfRange),
        ({"quantity": 0}, "quantity", OutOfRange),
        ({"mc_pct": Decimal(31)}, "mc_pct", OutOfRange),
        ({"fittings_kg": Decimal(-1)}, "fittings", OutOfRange),
        ({"channels": (1,)}, "channels", Unreadable),
        ({"species": "plywood"}, "species", Unknown),
        ({"species": "apple"}, "species", Unknown),  # moves by table 13-5, no gravity in the tables
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed
