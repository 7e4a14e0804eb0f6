from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.finish.films import (
    UM_PER_MIL,
    dry_film_um,
    wet_film_of_spread_um,
    wet_film_um,
)
from calcs.finish.finish_plan import FinishPlan
from calcs.finish.finishing import coats
from calcs.kit.errors import OutOfRange, Unreadable
from calcs.kit.units import inches, mm
from calcs.materials.product_sheets import finish_classes

VARNISH = finish_classes()["water-borne"]
TOP = FinishPlan(length_len=mm(2000), width_len=mm(1000), thickness_len=mm(40), finish=VARNISH)


# By definition: 231 in3 / 0.001 in / 144 = 1604.17 ft2 a gallon at 1 mil; 1 L at 1 µm is 1000 m2.
def test_a_gallon_at_a_mil():
    solid = replace(TOP, solids_pct=Decimal(100), loss_pct=Decimal(0))
    assert coats(replace(solid, dry_coat_um=Decimal(10))).covers_m2_per_l == 100
    at_a_mil = coats(replace(solid, dry_coat_um=UM_PER_MIL)).covers_m2_per_l
    assert at_a_mil * Decimal("40.7458") == pytest.approx(Decimal("1604.17"), rel=Decimal("0.0002"))


@given(
    st.decimals(min_value=10, max_value=500, places=1),
    st.decimals(min_value=10, max_value=100, places=1),
    st.decimals(min_value=0, max_value=100, places=0),
)
def test_wet_and_dry_are_inverses(dry, solids, thinning):
    wet = wet_film_um(dry_um=dry, solids_pct=solids, thinning_pct=thinning)
    if wet <= 5000:
        back = dry_film_um(wet_um=wet, solids_pct=solids, thinning_pct=thinning)
        assert back == pytest.approx(dry, abs=Decimal("0.015"))  # half of 0.01 either way


# By hand: face 2 m2; edges 2 x 0.04 x (2 + 1) = 0.24 m2, so 4.24 m2 all round. At 10 m2/L and no loss
# three sealing coats are 1.272 L and one build coat 0.2 L: 1.472 L, two cans of 0.946 L.
def test_a_top_by_hand():
    finish = replace(VARNISH, coverage_m2_per_l=Decimal(10), volume_solids_pct=Decimal(30))
    found = coats(replace(TOP, finish=finish, loss_pct=Decimal(0)))
    assert (found.face_m2, found.all_round_m2) == (Decimal("2.00"), Decimal("4.24"))
    assert (found.sealing_coats, found.build_coats) == (3, 1)
    assert (found.sealing_coat_l, found.build_coat_l, found.total_l) == (
        Decimal("0.42"),
        Decimal("0.20"),
        Decimal("1.47"),
    )
    assert found.cans == 2
    assert found.film_um == 120  # four coats of 100 µm wet at 30 % solids
    assert any("no source" in text for text in found.source)


# What reaches the wood is 1.472 L a top, by hand above; with a loss of 20 % that is 80 % of what is poured.
@pytest.mark.parametrize(
    "loss, quantity, litres",
    [
        ("20", 1, "1.84"),  # 1.472 / 0.8
        ("60", 1, "3.68"),  # 1.472 / 0.4
        ("20", 2, "3.68"),
    ],
)
def test_loss_is_of_what_is_poured_and_tops_add_up(loss, quantity, litres):
    finish = replace(VARNISH, coverage_m2_per_l=Decimal(10))
    found = coats(replace(TOP, finish=finish, loss_pct=Decimal(loss), quantity=quantity))
    assert found.total_l == Decimal(litres)


def test_one_rule_of_loss_for_film_and_amount():
    film = {"solids_pct": Decimal(50), "dry_coat_um": Decimal(40)}  # 80 µm wet, 12.5 m2/L
    found = coats(replace(TOP, loss_pct=Decimal(35), sealing_coats=1, build_coats=0, **film))
    assert found.covers_m2_per_l == Decimal("8.125")  # 12.5 x 0.65
    assert found.total_l == Decimal("0.52")  # 4.24 / 8.125


# Common practice, no source: more than one coat of difference between face and back wants a reason.
@pytest.mark.parametrize("build, warned", [(0, False), (1, False), (2, True)])
def test_uneven_coats_are_warned(build, warned):
    found = coats(replace(TOP, build_coats=build))
    assert bool(found.warnings) is warned


# Data sheet of a 275 g/L nitrocellulose lacquer (read): not more than 3 mil dry on the whole.
def test_thick_lacquer_is_warned_and_the_usual_coats_are_not():
    lacquer = finish_classes()["lacquer"]
    assert coats(replace(TOP, finish=lacquer)).warnings == ()
    assert "cracks" in coats(replace(TOP, finish=lacquer, sealing_coats=4)).warnings[0]


@pytest.mark.parametrize("key", ["hard-wax-oil", "two-part"])
def test_no_film_where_none_builds_or_the_solids_are_not_known(key):
    assert coats(replace(TOP, finish=finish_classes()[key])).film_um is None


@pytest.mark.parametrize("key", finish_classes())
def test_the_usual_coats_of_a_class_need_no_reason(key):
    assert coats(replace(TOP, finish=finish_classes()[key])).warnings == ()


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"length_len": 0}, "length", OutOfRange),
        ({"width_len": inches(241)}, "width", OutOfRange),
        ({"thickness_len": 1.5}, "thickness", Unreadable),
        ({"quantity": -1}, "quantity", OutOfRange),
        ({"sealing_coats": 0}, "sealing_coats", OutOfRange),
        ({"build_coats": -1}, "build_coats", OutOfRange),
        ({"loss_pct": Decimal(96)}, "loss_pct", OutOfRange),
        ({"can_l": Decimal(0)}, "can", OutOfRange),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field


@pytest.mark.parametrize(
    "call, field",
    [
        (lambda: dry_film_um(wet_um=Decimal(0), solids_pct=Decimal(30)), "wet_um"),
        (lambda: wet_film_um(dry_um=Decimal(50), solids_pct=Decimal(0)), "solids_pct"),
        (
            lambda: dry_film_um(wet_um=Decimal(50), solids_pct=Decimal(30), thinning_pct=Decimal(-1)),
            "thinning_pct",
        ),
        (lambda: wet_film_of_spread_um(m2_per_l=Decimal(0)), "m2_per_l"),
    ],
)
def test_films_that_cannot_be(call, field):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert caught.value.field == field
