from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown
from calcs.kit.units import inches, mm
from calcs.structure.tipping import tipping
from calcs.structure.tipping_inputs import OnFeet

# A metric table for sums by hand: 2 m x 1 m, 40 kg, feet 1.2 m x 0.4 m, a load of 40 kg 50 mm from the edge.
TABLE = OnFeet(
    length_len=mm(2000),
    width_len=mm(1000),
    feet_length_len=mm(1200),
    feet_width_len=mm(400),
    top_kg=Decimal(40),
    load_kg=Decimal(40),
)


# By hand: across, the feet are 0.3 m from the edge: held by 40 x 0.2 = 8 kg m, tipped by 40 x 0.25 = 10 kg m,
# so at 8 / 0.25 = 32 kg. Along, 0.4 m from the end: 40 x 0.6 = 24 against 40 x 0.35 = 14, so at 68.6 kg.
def test_both_edges_by_hand():
    long, end = tipping(TABLE).edges
    assert (long.name, long.past_len, long.stands, long.tips_at_kg) == (
        "long edge", mm(300), False, Decimal("32.0"),
    )  # fmt: skip
    assert (long.holding_nm, long.tipping_nm) == (Decimal("78.5"), Decimal("98.1"))  # 8 and 10 x 9.80665
    assert (end.name, end.stands, end.tips_at_kg) == ("either end", True, Decimal("68.6"))
    assert (tipping(TABLE).stands, tipping(TABLE).least_kg) == (False, Decimal("32.0"))


# By hand: with feet f from the edge 40 (0.5 - f) = 40 (f - 0.05) at f = 0.275 m. As it is, the base b needs
# b x 0.2 = 40 x 0.25 - 8: 10 kg.
def test_what_would_let_it_stand_by_hand():
    long = tipping(TABLE).edges[0]
    assert (long.most_past_len, long.base_kg) == (mm(275), Decimal("10.0"))
    assert tipping(replace(TABLE, feet_width_len=mm(450))).edges[0].stands
    assert tipping(replace(TABLE, base_kg=Decimal(10))).edges[0].stands
    assert not tipping(replace(TABLE, base_kg=Decimal("9.9"))).edges[0].stands
    (told,) = tipping(TABLE).warnings
    assert "70.5 lb (32.0 kg) on the long edge" in told and "at most" in told and "22.0 lb (10.0 kg)" in told


# By hand: feet from 0.1 m to 1.3 m. Left 40 x 0.9 = 36 over 0.05: 720 kg. Right, 0.7 m past the feet:
# 40 x 0.3 = 12 over 0.65: 18.5 kg.
def test_a_base_off_the_middle_tips_at_its_long_end():
    _, left, right = tipping(replace(TABLE, left_len=mm(100))).edges
    assert (left.name, left.tips_at_kg) == ("left end", Decimal("720.0"))
    assert (right.name, right.tips_at_kg, right.stands) == ("right end", Decimal("18.5"), False)


def test_no_load_tips_what_stands_on_feet_out_to_the_edge():
    wide = tipping(replace(TABLE, feet_width_len=mm(1000), feet_length_len=mm(2000)))
    assert wide.stands and wide.least_kg is None
    assert [edge.tips_at_kg for edge in wide.edges] == [None, None]
    assert len(wide.cautions) == 1


def test_a_top_whose_middle_is_past_the_feet_falls_by_itself():
    falls = tipping(replace(TABLE, left_len=mm(0), feet_length_len=mm(800)))
    right = falls.edges[-1]
    assert right.tips_at_kg < 0 and not right.stands
    assert any("tips over with 0 lb (0 kg) on the right end" in told for told in falls.warnings)


def test_somebody_who_may_be_hurt_is_warned_of():
    said = tipping(replace(TABLE, base_kg=Decimal(40))).cautions
    assert "heavy adult" in said[0] and "110 kg" in said[0] and "long edge" in said[0]
    assert "the either" not in said[0]


@given(st.integers(300, 900), st.integers(1, 80), st.integers(10, 120))
def test_it_stands_just_where_the_load_is_less_than_what_tips_it(feet, base, load):
    found = tipping(
        replace(TABLE, feet_width_len=mm(feet), base_kg=Decimal(base), load_kg=Decimal(load))
    ).edges[0]
    if found.tips_at_kg is not None and abs(found.tips_at_kg - load) > Decimal("0.1"):
        assert found.stands == (load < found.tips_at_kg)
    if not found.stands:
        wider = mm(1000) - 2 * found.most_past_len
        assert (
            tipping(replace(TABLE, feet_width_len=wider + 2, base_kg=Decimal(base), load_kg=Decimal(load)))
            .edges[0]
            .stands
        )


def test_the_weight_of_the_top_by_its_wood():
    """A cherry top 60 x 30 x 1 1/2 in weighs 53.6 lb (`calcs.wood.weight`): 24.3 kg."""
    top = OnFeet(
        length_len=inches(60), width_len=inches(30), thickness_len=inches("3/2"), species="cherry",
        feet_length_len=inches(40), feet_width_len=inches(20), base_kg=Decimal(10),
    )  # fmt: skip
    assert tipping(top).weight_kg == Decimal("34.3")


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"top_kg": None}, "top", OutOfRange),
        ({"feet_width_len": 0}, "feet_width", OutOfRange),
        ({"left_len": mm(2001)}, "left", OutOfRange),
        ({"from_edge_len": mm(501)}, "from_edge", OutOfRange),
        ({"load_kg": Decimal(0)}, "load", OutOfRange),
        ({"species": "ipe"}, "species", Unknown),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TABLE, **changes)
    assert caught.value.field == field and caught.value.allowed
