from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.materials.species import species
from calcs.wood.indoors import DRY_RH_PCT, HUMID_RH_PCT, INDOORS_SOURCE
from calcs.wood.movement import RULE, WIDE, WIDE_RULE
from calcs.wood.seasonal_movement import SeasonalMovement, Seasons, seasonal_movement, slot
from jobs.domain.settings import DEFAULTS

MC = st.decimals(min_value=6, max_value=14, places=2)
SIZES = st.integers(0, inches(240))


def seasons(made, dry, humid, coefficient="0.00274"):
    return SeasonalMovement(
        coefficient=Decimal(str(coefficient)),
        mc_made_pct=Decimal(str(made)),
        mc_dry_pct=Decimal(str(dry)),
        mc_humid_pct=Decimal(str(humid)),
        source=(),
    )


def test_coefficients_are_the_species_or_your_own():
    walnut = species("walnut")
    assert seasonal_movement(Seasons(species="walnut")).coefficient == walnut.tangential
    assert seasonal_movement(Seasons(species="walnut", cut="quartersawn")).coefficient == walnut.radial
    own = seasonal_movement(Seasons(coefficient=Decimal("0.0031")))
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
        ({"species": "walnut", "mc_made_pct": Decimal(31)}, "mc_made_pct", OutOfRange),
        ({"species": "walnut", "temp_c": Decimal(61)}, "temp", OutOfRange),
        ({"species": "walnut", "rh_low_pct": Decimal(0)}, "rh_low_pct", OutOfRange),
        ({"species": "walnut", "rh_low_pct": Decimal(65)}, "rh_high_pct", OutOfRange),
        ({"species": "walnut", "mc_dry_pct": Decimal(7)}, "mc_humid_pct", Unreadable),
        (
            {"species": "walnut", "mc_dry_pct": Decimal(9), "mc_humid_pct": Decimal(8)},
            "mc_humid_pct",
            OutOfRange,
        ),
        (
            {"species": "walnut", "mc_dry_pct": Decimal(-1), "mc_humid_pct": Decimal(8)},
            "mc_dry_pct",
            OutOfRange,
        ),
    ],
)
def test_nonsense_is_refused(given_, field, error):
    with pytest.raises(error) as caught:
        Seasons(**given_)
    assert caught.value.field == field and caught.value.allowed


# Wood Handbook (2010) table 4-2 at 70 °F: 5.4 % at 25 %, 11.0 % at 60 %.
def test_the_seasons_taken_where_none_are_given_are_those_of_the_shop_settings():
    found = seasonal_movement(Seasons(species="walnut"))
    dry, humid = float(found.mc_dry_pct), float(found.mc_humid_pct)
    assert (dry, humid) == pytest.approx((5.4, 11.0), abs=0.07)
    assert INDOORS_SOURCE in found.source and found.notes == (WIDE,)
    assert (DEFAULTS["winter_rh_pct"], DEFAULTS["summer_rh_pct"]) == (str(DRY_RH_PCT), str(HUMID_RH_PCT))
    own = seasonal_movement(Seasons(species="walnut", rh_low_pct=Decimal(40)))
    assert INDOORS_SOURCE not in own.source and own.notes == ()


def test_each_season_says_by_which_relation_it_goes():
    """Made at 8 %: to 12 % by eq. 13-2, to 4 % by eq. 13-3 with walnut's 7.8 %: 10 in x 4 / (354.615 + 8)."""
    of = seasonal_movement(Seasons(
        species="walnut", mc_made_pct=Decimal(8), mc_dry_pct=Decimal(4), mc_humid_pct=Decimal(12)
    ))  # fmt: skip
    assert RULE in of.source and WIDE_RULE in of.source
    assert of.humid_len(inches(10)) / inches(1) == pytest.approx(10 * 0.00274 * 4, abs=1e-5)
    assert of.dry_len(inches(10)) / inches(1) == pytest.approx(-40 / 362.615, rel=0.002)
