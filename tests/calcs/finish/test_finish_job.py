from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.asking.field_types import Habit
from calcs.asking.inputs import describe, read
from calcs.curing.hardening import StepAt
from calcs.curing.hardening_inputs import SheetPoint
from calcs.finish.cans import choose_cans
from calcs.finish.coat_calendar import calendar_of
from calcs.finish.films import UM_PER_MIL
from calcs.finish.finish_job import finishing
from calcs.finish.finish_job_inputs import FinishJob
from calcs.finish.layers import layering
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, mm
from calcs.materials.product_sheets import finish_classes

FINISHES = finish_classes()
VARNISH = FINISHES["water-borne"]
HOUR, DAY = 3600, 86400
TOP = FinishJob(
    length_len=mm(2000),
    width_len=mm(1000),
    thickness_len=mm(40),
    finish=VARNISH,
    temp_c=VARNISH.ref_temp_c,
)


def litres(*sizes):
    return tuple(Decimal(size) for size in sizes)


def brute(need, sizes):
    """Every mix of cans tried: the fewest cans of those that leave at most 1 % of the need over the least."""
    counts = [range(ceil(need / size) + 1) for size in sizes]
    mixes = [
        (sum(n * s for n, s in zip(mix, sizes, strict=True)), sum(mix))
        for mix in product(*counts)
        if sum(n * s for n, s in zip(mix, sizes, strict=True)) >= need
    ]
    limit = min(mixes)[0] + need * Fraction(1, 100)
    fewest = min(n for volume, n in mixes if volume <= limit)
    return fewest, min(volume for volume, n in mixes if n == fewest)


@given(
    st.integers(min_value=1, max_value=4000),
    st.lists(
        st.sampled_from([250, 473, 500, 750, 946, 1000, 2500, 3785]), min_size=1, max_size=3, unique=True
    ),
)
def test_cans_match_every_mix_tried(need_ml, sizes):
    found = choose_cans(Fraction(need_ml, 1000), [Decimal(size) / 1000 for size in sizes])
    fewest, volume = brute(need_ml, sizes)
    assert sum(each.count for each in found.cans) == fewest
    assert found.bought_l * 1000 == volume == sum(each.count * each.can_l for each in found.cans) * 1000
    assert found.left_l * 1000 == volume - need_ml


def test_four_quarts_are_a_gallon():
    found = choose_cans(Fraction("3.7"), litres("0.946", "3.785"))
    assert [(each.count, each.can_l) for each in found.cans] == [(1, Decimal("3.785"))]


@pytest.mark.parametrize("need, sizes", [("201", ("20",)), ("5", ("0.01",))])
def test_too_many_cans_are_refused(need, sizes):
    with pytest.raises(OutOfRange) as caught:
        choose_cans(Fraction(need), litres(*sizes))
    assert caught.value.field == "cans"


# By hand: 4.24 m2 all round and 2 m2 of face at 10 m2/L without loss, three coats and one: 1.472 L; a quart
# and a pint hold 1.419, so two quarts, 1.892 L.
def test_a_top_by_hand():
    finish = replace(VARNISH, coverage_m2_per_l=Decimal(10), volume_solids_pct=Decimal(30))
    found = finishing(replace(TOP, finish=finish, loss_pct=Decimal(0)))
    assert found.total_l == Decimal("1.47")
    assert [(each.count, each.can_l) for each in found.cans] == [(2, Decimal("0.946"))]
    assert found.left_l == Decimal("0.420")
    assert (found.wet_um, found.dry_um, found.film_um) == (100, 30, 120)


# By definition 1604 ft2·mil a gallon: the class covers 450 ft2/gal, so 3.56 mil wet and, at 25 %, 0.89 dry.
def test_films_of_a_coat():
    found = finishing(TOP)
    assert found.wet_um / UM_PER_MIL == pytest.approx(Decimal(1604) / 450, rel=Decimal("0.001"))
    assert found.dry_um / UM_PER_MIL == pytest.approx(Decimal(1604) / 450 / 4, rel=Decimal("0.001"))
    assert finishing(replace(TOP, finish=FINISHES["hard-wax-oil"])).wet_um is None


# The class's own times at its own temperature: recoat 4 to 8 h, light use 24 h, full 21 days.
def test_the_calendar_of_coats_laid_in_one_go():
    found = finishing(replace(TOP, turned=False))
    assert found.turns == 0 and not any("turned over" in note for note in found.notes)
    assert [(c.coat, c.where, c.earliest_s, c.latest_s) for c in found.calendar] == [
        (1, "all round", 0, 0),
        (2, "all round", 4 * HOUR, 8 * HOUR),
        (3, "all round", 8 * HOUR, 16 * HOUR),
        (4, "face", 12 * HOUR, 24 * HOUR),
    ]
    assert (found.light_use_s, found.full_s) == (36 * HOUR, 12 * HOUR + 21 * DAY)
    assert found.may_coat and not found.warnings


# Three coats all round are six sittings, and the face one more: each waits 4 h for the one before. The window
# of 8 h leaves a face two waits, so the faces take turns: five turns.
def test_each_turn_between_the_faces_waits_for_the_coat_before():
    found = finishing(TOP)
    assert [(c.coat, c.where, c.earliest_s, c.latest_s) for c in found.calendar] == [
        (1, "underside", 0, 0),
        (1, "show face and edges", 4 * HOUR, None),
        (2, "underside", 8 * HOUR, 8 * HOUR),
        (2, "show face and edges", 12 * HOUR, 12 * HOUR),
        (3, "underside", 16 * HOUR, 16 * HOUR),
        (3, "show face and edges", 20 * HOUR, 20 * HOUR),
        (4, "face", 24 * HOUR, 28 * HOUR),
    ]
    assert (found.turns, found.light_use_s) == (5, 48 * HOUR)
    assert any("each turn waits a recoat time" in note for note in found.notes)


# A window of three waits: the face that is up is coated twice before a turn, so a turn a coat. Of less than
# two: the underside first, one turn.
@pytest.mark.parametrize(
    "window_h, faces, turns", [(None, "USSUUS", 3), (12, "USSUUS", 3), (11, "USUSUS", 5), (7, "UUUSSS", 1)]
)
def test_a_short_window_asks_for_another_order(window_h, faces, turns):
    steps = {"recoat_from": step("recoat_from", 4)}
    steps |= {"recoat_to": step("recoat_to", window_h)} if window_h else {}
    found = calendar_of(sealing=3, build=1, steps=steps, turned=True)
    seen = ["U" if coat.where == "underside" else "S" for coat in found.coats]
    assert found.turns == turns and "".join(seen) == faces + "S"
    assert all(coat.latest_s is None or coat.latest_s >= coat.earliest_s for coat in found.coats)
    assert len(found.notes) == (2 if turns == 1 else 1)


def step(name, hours):
    return StepAt(
        step=name,
        need_s=hours * HOUR,
        done_pct=Decimal(0),
        earliest_s=hours * HOUR,
        likely_s=hours * HOUR,
        latest_s=hours * HOUR,
    )


# By hand, 25 % thinner: 1.472 L laid are 1.178 L of finish and 0.294 L of thinner; 100 µm wet at 30 % solids
# dry to 30 / 1.25 = 24 µm. A dry coat of 48 µm then takes 200 µm wet, 5 m2/L: twice as much.
def test_thinner_and_a_film_that_is_wanted():
    finish = replace(VARNISH, coverage_m2_per_l=Decimal(10), volume_solids_pct=Decimal(30))
    thinned = replace(TOP, finish=finish, loss_pct=Decimal(0), thinning_pct=Decimal(25))
    found = finishing(thinned)
    assert (found.total_l, found.thinner_l, found.covers_m2_per_l) == (
        Decimal("1.18"),
        Decimal("0.29"),
        Decimal(10),
    )
    assert (found.wet_um, found.dry_um, found.film_um) == (100, 24, 96)
    thick = finishing(replace(thinned, dry_coat_um=Decimal(48)))
    assert (thick.wet_um, thick.dry_um, thick.covers_m2_per_l) == (200, 48, 5)
    assert thick.total_l == Decimal("2.36")
    assert any("from the film wanted" in text for text in thick.source)


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"finish": FINISHES["hard-wax-oil"]}, "dry_coat", OutOfRange),
        ({"finish": replace(VARNISH, volume_solids_pct=None)}, "solids_pct", Unreadable),
        ({"solids_pct": Decimal(1), "dry_coat_um": Decimal(60)}, "dry_coat", OutOfRange),
        ({"thinning_pct": Decimal(201)}, "thinning_pct", OutOfRange),
        ({"solids_pct": Decimal(0)}, "solids_pct", OutOfRange),
    ],
)
def test_a_film_that_cannot_be_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **{"dry_coat_um": Decimal(40), **changes})
    assert caught.value.field == field and caught.value.allowed


def test_a_film_may_be_typed_in_mils():
    asked = {"length": "60", "width": "32", "thickness": "1", "finish": "water-borne", "dry_coat": "1 mil"}
    assert read(FinishJob, asked, Habit()).dry_coat_um == Decimal("25.4")


def test_humid_air_stretches_the_calendar():
    humid = finishing(replace(TOP, rh_pct=Decimal(70))).calendar
    # the deficit at 70 % is 30/50 of that at 50 %
    assert humid[1].earliest_s == pytest.approx(4 * HOUR * 50 / 30, abs=1)


@given(
    st.sampled_from(sorted(FINISHES)),
    st.decimals(min_value=5, max_value=40, places=1),
    st.decimals(min_value=5, max_value=95, places=0),
)
def test_a_window_never_closes_before_it_opens(key, temp, rh):
    found = finishing(replace(TOP, finish=FINISHES[key], temp_c=temp, rh_pct=rh))
    for coat in found.calendar:
        assert coat.latest_s is None or coat.latest_s >= coat.earliest_s
    assert [c.earliest_s for c in found.calendar] == sorted(c.earliest_s for c in found.calendar)


def test_too_cold_there_is_no_calendar():
    found = finishing(replace(TOP, temp_c=Decimal(8)))
    assert (found.calendar, found.light_use_s, found.full_s, found.may_coat) == ((), None, None, False)
    assert any("outside the sheet" in text for text in found.warnings)


# Dew point at 20 °C and 60 %: 12.0 °C (marine coatings maker, sheet 1650, 2013); 3 °C more are wanted.
@pytest.mark.parametrize("surface, ok", [("15.1", True), ("14.9", False)])
def test_a_surface_near_the_dew_point_is_not_coated(surface, ok):
    job = replace(TOP, temp_c=Decimal(20), rh_pct=Decimal(60), surface_c=Decimal(surface))
    found = finishing(job)
    assert (found.may_coat, found.dew_point_c, found.least_surface_c) == (
        ok,
        Decimal("12.0"),
        Decimal("15.0"),
    )


# Common practice, no source: tables of the trade, each row so marked.
@pytest.mark.parametrize(
    "over, under, age, ok, verdict",
    [
        ("water-borne", "oil-varnish", None, False, "cured"),
        ("water-borne", "oil-varnish", 29 * DAY, False, "cured"),
        ("water-borne", "oil-varnish", 30 * DAY, True, "cured"),
        ("two-part", "hard-wax-oil", 20 * DAY, False, "cured"),
        ("water-borne", "shellac", None, True, "yes"),
        ("water-borne", "water-borne", None, True, "yes"),
        ("lacquer", "oil-varnish", 90 * DAY, False, "sealer"),
        ("hard-wax-oil", "lacquer", None, False, "no"),
        ("lacquer", "two-part", None, False, "unknown"),
        ("water-borne", None, None, True, "bare wood"),
    ],
)
def test_layers(over, under, age, ok, verdict):
    found = layering(over=FINISHES[over], under=FINISHES[under] if under else None, under_age_s=age)
    assert (found.ok, found.verdict) == (ok, verdict)
    assert bool(found.warnings) is not ok
    assert all("common practice, no source" in text for text in found.source)


def test_every_pair_of_classes_has_an_answer():
    for over, under in ((a, b) for a in FINISHES.values() for b in FINISHES.values()):
        found = layering(over=over, under=under, under_age_s=365 * DAY)
        assert found.ok or found.warnings


def test_oily_wood_and_steel_wool():
    assert "slow a drying oil" in layering(over=FINISHES["oil-varnish"], wood="teak").warnings[0]
    assert not layering(over=FINISHES["oil-varnish"], wood="black walnut").warnings
    assert any("steel wool" in text for text in layering(over=VARNISH).notes)
    assert not any("steel wool" in text for text in layering(over=FINISHES["shellac"]).notes)


def test_what_is_beneath_reaches_the_answer():
    found = finishing(replace(TOP, under=FINISHES["oil-varnish"], under_age_s=3 * DAY))
    assert not found.may_coat and any("3 d old of 30 d" in text for text in found.warnings)


def test_self_heating_rags_are_cautioned():
    assert "rags" in finishing(replace(TOP, finish=FINISHES["oil-varnish"])).cautions[0]


def test_own_points_reach_the_calendar():
    points = tuple(
        SheetPoint(step="recoat_from", temp_c=Decimal(t), time_s=h * HOUR) for t, h in ((15, 6), (25, 2))
    )
    found = finishing(replace(TOP, temp_c=Decimal(25), points=points))
    assert found.calendar[1].earliest_s == 2 * HOUR


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"length_len": 0}, "length", OutOfRange),
        ({"cans_l": ()}, "cans", OutOfRange),
        ({"cans_l": litres("0")}, "cans[1]", OutOfRange),
        ({"rh_pct": Decimal(0)}, "rh_pct", OutOfRange),
        ({"surface_c": Decimal(61)}, "surface", OutOfRange),
        ({"species": "unobtainium"}, "species", Unknown),
        ({"under_age_s": -1}, "under_age", OutOfRange),
        ({"points": (SheetPoint(step="unclamp", temp_c=Decimal(20), time_s=60),)}, "points[1].step", Unknown),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field


def test_it_is_read_from_typed_text():
    typed = {"length": "72", "width": "36", "thickness": "1 3/4", "finish": "shellac", "cans": "1 L, 2.5 L"}
    asked = read(FinishJob, typed, Habit())
    assert asked.length_len == inches(72) and asked.cans_l == litres("1", "2.5")
    assert finishing(asked).cans
    assert "cans" in {row["name"] for row in describe(FinishJob)}
