from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, to_inches
from calcs.structure.attachment import HOLD, OnBase, attachment, places_on_rail
from tests.published.printed import rows

# A 40 in flatsawn black walnut top from 7 to 11 % gains 0.4384 in: coefficient of Wood Handbook (2010) table
# 13-5 (read), sum worked out in tests/published/data/movement.csv, E7.
(E7,) = [row for row in rows("movement") if row["id"] == "E7"]
TOP = OnBase(
    species="black walnut",
    width_len=inches(E7["start_size"]),
    fixings_len=(inches(0), inches(20), inches(30), inches(40)),
    mc_made_pct=Decimal(E7["mc_start_pct"]),
    mc_dry_pct=Decimal(E7["mc_start_pct"]),
    mc_humid_pct=Decimal(E7["mc_end_pct"]),
)


def test_slot_is_travel_screw_and_play():
    quarter, edge = attachment(TOP).fixings[2:]
    # 20 in from the middle: 0.2192; 10 in: 0.1096
    assert float(to_inches(edge.travel_len)) == pytest.approx(0.2192, abs=0.0001)
    assert float(to_inches(quarter.travel_len)) == pytest.approx(0.1096, abs=0.0001)
    assert float(to_inches(edge.slot.slot_len)) == pytest.approx(0.2192 + 0.1875 + 0.0625, abs=0.0001)
    # made in the dry season it only ever moves outward: the screw sits at the inner end but for half the play
    assert edge.slot.inner_len == inches("1/8")
    assert attachment(TOP).most_len == edge.travel_len


def test_an_edge_held_fast_doubles_the_travel_of_the_other():
    found = attachment(replace(TOP, fixed_len=0))
    assert float(to_inches(found.fixings[-1].travel_len)) == pytest.approx(float(E7["change"]), abs=0.0001)
    assert found.fixings[0].travel_len == 0


# By hand, 20 in from the middle, made at 9 % between 7 and 11 %: 0.1096 either way. Gap 0.1096 + 1/32 =
# 0.1409; tongue 0.1409 + 0.1096 + 1/8 = 0.3755; groove 0.3755 - 0.1409 + 0.1096 + 1/32 = 0.3755.
def test_a_button_by_hand():
    top = replace(TOP, how="buttons", mc_made_pct=Decimal(9), fixings_len=(inches(40),))
    button = attachment(top).fixings[0].button
    got = [float(to_inches(each)) for each in (button.gap_len, button.tongue_len, button.groove_len)]
    assert got == pytest.approx([0.1409, 0.3755, 0.3755], abs=0.0001)
    assert attachment(top).fixings[0].slot is None


MC = st.decimals(min_value=6, max_value=14, places=1)


@given(MC, MC, MC, st.integers(0, inches(40)), st.integers(inches(1), inches(2)))
def test_a_button_stays_in_its_groove_and_off_the_base(made, one, other, at, tongue):
    top = replace(
        TOP,
        how="buttons",
        mc_made_pct=made,
        mc_dry_pct=min(one, other),
        mc_humid_pct=max(one, other),
        fixings_len=(at,),
        tongue_len=tongue,
    )
    fixing = attachment(top).fixings[0]
    for moved in (0, fixing.dry_len, fixing.humid_len):
        assert fixing.button.gap_len - moved >= 0  # the shoulder does not push the base
        deep = tongue - fixing.button.gap_len + moved
        assert HOLD <= deep <= fixing.button.groove_len


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"tongue_len": inches("1/4")}, "tongue"),
        ({"groove_len": inches("1/4"), "tongue_len": inches(1)}, "groove"),
    ],
)
def test_a_tongue_or_groove_too_short_is_refused(changes, field):
    with pytest.raises(OutOfRange) as caught:
        attachment(replace(TOP, how="buttons", mc_made_pct=Decimal(9), **changes))
    assert caught.value.field == field and "at fixing 1" in caught.value.allowed


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"width_len": 0}, "width", OutOfRange),
        ({"fixings_len": ()}, "fixings", OutOfRange),
        ({"fixings_len": (inches(41),)}, "fixings[1]", OutOfRange),
        ({"fixings_len": inches(3)}, "fixings", Unreadable),
        ({"fixed_len": inches(41)}, "fixed", OutOfRange),
        ({"how": "glue"}, "how", Unknown),
        ({"screw_len": 0}, "screw", OutOfRange),
        ({"tolerance_len": inches(1)}, "tolerance", OutOfRange),
        ({"species": None}, "species", Unreadable),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed


# By hand: a rail of 28 in under a 42 in top: 24 in between the outer fixings, two gaps of 12 in, from 9 in.
def test_places_on_a_rail_by_hand():
    found = places_on_rail(width_len=inches(42), rail_len=inches(28))
    assert found == (inches(9), inches(21), inches(33))
    assert places_on_rail(width_len=inches(42), rail_len=inches(3)) == (inches(21),)
    for long in range(5, 60):
        places = places_on_rail(width_len=inches(60), rail_len=inches(long))
        assert len(places) % 2 == 1 and places[len(places) // 2] == inches(30)


def test_figure_eights_are_for_narrow_tops():
    narrow = replace(TOP, width_len=inches(18), fixings_len=(inches(2),), how="figure-eights", rails=2)
    found = attachment(narrow)
    assert (found.count, found.warnings) == (2, ())
    assert (found.fixings[0].slot, found.fixings[0].button) == (None, None)
    (told,) = attachment(replace(TOP, how="figure-eights")).warnings
    assert "swing too little" in told
