from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.glue_up.clamping import CAUL_SPACING, clamping, positions
from calcs.glue_up.clamping_inputs import Clamps, Panel
from calcs.glue_up.pressure import KPA_PER_PSI, N_PER_LBF
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from calcs.materials.product_sheets import glue_classes
from tests.published.printed import rows

GLUES = glue_classes()
TOP = Panel(
    width_len=inches(42),
    length_len=inches(96),
    thickness_len=inches("7/4"),
    outer_len=inches(6),
    glue=GLUES["pva"],
    species="walnut",
)
PSI_150 = 150 * KPA_PER_PSI
LENGTHS = st.integers(inches(1), inches(480))
PRACTICE = {row["topic"]: row for row in rows("clamping_practice")}


def lbf(newton):
    return newton / N_PER_LBF


# Force = pressure x thickness x length of one joint. 150 psi x 1.5 in x 96 in = 21,600 lbf
# (data/clamping_practice.csv, worked example); 150 psi x 1.75 in x 120 in = 31,500 lbf (by hand).
# Half a newton of rounding is 0.12 lbf.
@pytest.mark.parametrize("thickness, length, expected", [("1.5", 96, 21_600), ("1.75", 120, 31_500)])
def test_force_of_one_joint_by_the_worked_examples(thickness, length, expected):
    panel = replace(TOP, thickness_len=inches(thickness), length_len=inches(length), pressure_kpa=PSI_150)
    plan = clamping(panel)
    assert float(lbf(plan.force_least_n)) == pytest.approx(expected, abs=0.15)
    assert plan.force_least_n == plan.force_most_n
    if expected == 21_600:
        assert f"{expected:,} lbf" in PRACTICE["force_needed"]["note"]


def test_force_is_that_of_one_joint_however_many_there_are():
    narrow, wide = (clamping(replace(TOP, width_len=inches(width))) for width in (13, 78))
    assert narrow.force_least_n == wide.force_least_n
    assert any("not of their sum" in note for note in wide.notes)


# 8-12 in apart, first 1.5-2 in from the ends; count ceil((L - 2e)/s)+1.
# (96 - 4)/12 = 7.67, so 8 gaps of 11.5 in and 9 clamps.
def test_places_by_hand():
    plan = clamping(TOP)
    assert (plan.count, plan.spacing_len) == (9, inches("11.5"))
    assert [clamp.at_len for clamp in plan.places[:3]] == [inches(2), inches("13.5"), inches(25)]
    assert plan.places[-1].at_len == inches(94)
    assert [clamp.side for clamp in plan.places[:4]] == ["below", "above", "below", "above"]


# 45° either side: at the nearest joint one clamp loads twice its distance (data/clamping_practice.csv,
# max_clamp_spacing_rule 2 x d). An outer strip of 4 in: 8 in apart, (96 - 4)/8 = 11.5, so 12 gaps; a batten
# of 2 in brings the joint to 6 in and the spacing back to 12 in.
def test_spread_limits_spacing_and_a_batten_widens_it():
    close = clamping(replace(TOP, outer_len=inches(4)))
    assert close.spread_len == inches(8) and close.count == 13
    assert any('a batten of 2"' in note for note in close.notes)
    wide = clamping(replace(TOP, outer_len=inches(4), batten_len=inches(2)))
    assert wide.spread_len == inches(12) and wide.count == 9
    assert wide.reach_len == inches(46)


@given(LENGTHS, st.integers(inches("3/2"), inches(2)), st.integers(inches(1), inches(12)))
def test_places_stay_on_the_joint_and_within_the_spacing(length, end, most):
    at = positions(length, end_len=end, most_len=most)
    assert all(0 < each < length for each in at)
    assert all(0 < right - left <= most + 1 for left, right in pairwise(at))
    assert abs(at[0] + at[-1] - length) <= 1
    assert len(at) == 1 or at[0] == end
    if len(at) > 2:  # one place fewer would be too few
        assert (length - 2 * end) / (len(at) - 2) > most


@given(LENGTHS)
def test_cauls_lie_between_clamps_and_no_further_apart_than_30_inches(length):
    plan = clamping(replace(TOP, length_len=length))
    at = [clamp.at_len for clamp in plan.places]
    assert len(set(plan.cauls_at_len)) == len(plan.cauls_at_len)
    for caul in plan.cauls_at_len:
        assert any(left < caul < right for left, right in pairwise(at))
    assert all(right - left <= CAUL_SPACING + 3 for left, right in pairwise(plan.cauls_at_len))
    assert bool(plan.cauls_at_len) == (plan.count > 1)


# Nine pipe clamps of 500 to 1500 lbf on 1.75 x 96 = 168 in²: 26.8 to 80.4 psi, below the guide's 150 psi.
def test_achieved_pressure_by_hand():
    plan = clamping(TOP)
    assert float(plan.achieved_least_kpa / KPA_PER_PSI) == pytest.approx(9 * 408 / 168, abs=0.1)
    assert float(plan.achieved_most_kpa / KPA_PER_PSI) == pytest.approx(9 * 1890 / 168, abs=0.1)
    assert any("must close by hand" in text for text in plan.warnings)
    assert plan.enough is None and plan.use is None


def test_free_clamps_that_reach_are_taken_shortest_first():
    shop = (
        Clamps(reach_len=inches(36), owned=20),  # too short
        Clamps(reach_len=inches(60), owned=6, held=1),
        Clamps(kind="parallel jaw", reach_len=inches(48), owned=4),
    )
    plan = clamping(replace(TOP, clamps=shop))
    assert [(each.reach_len, each.count) for each in plan.use] == [(inches(48), 4), (inches(60), 5)]
    assert plan.enough and plan.missing == 0
    # 4 x 222 + 5 x 408 lbf on 168 in²
    assert float(plan.achieved_least_kpa / KPA_PER_PSI) == pytest.approx(2928 / 168, abs=0.1)


def test_what_is_missing_is_said():
    shop = (Clamps(reach_len=inches(48), owned=8, held=3), Clamps(reach_len=inches(40), owned=12))
    plan = clamping(replace(TOP, clamps=shop))
    assert (plan.enough, plan.missing) == (False, 4)
    assert any('4 more clamps that reach 42" (1066.8 mm) are missing' in text for text in plan.warnings)


@given(
    st.lists(
        st.builds(
            Clamps,
            kind=st.sampled_from(["bar or pipe", "parallel jaw", "light"]),
            reach_len=st.integers(inches(12), inches(80)),
            owned=st.just(9),
            held=st.integers(0, 9),
        ),
        min_size=1,
        max_size=8,
    ).map(tuple)
)
def test_no_clamp_is_taken_that_is_held_or_short(shop):
    plan = clamping(replace(TOP, clamps=shop))
    free = sum(each.owned - each.held for each in shop if each.reach_len >= inches(42))
    assert sum(each.count for each in plan.use) == min(free, plan.count)
    assert plan.missing == max(0, plan.count - free)
    assert all(each.reach_len >= inches(42) for each in plan.use)


def test_epoxy_is_closed_and_no_more():
    plan = clamping(replace(TOP, glue=GLUES["epoxy"], species=None))
    assert plan.wanted_most_kpa == 103  # 15 psi
    assert any("contact only" in text for text in plan.warnings)


def test_a_short_joint_has_one_clamp_in_its_middle():
    plan = clamping(replace(TOP, length_len=inches(4)))
    assert [clamp.at_len for clamp in plan.places] == [inches(2)] and plan.spacing_len == 0


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"width_len": 0}, "width", OutOfRange),
        ({"length_len": inches(481)}, "length", OutOfRange),
        ({"thickness_len": inches(13)}, "thickness", OutOfRange),
        ({"outer_len": inches(42)}, "outer", OutOfRange),  # no joint left
        ({"batten_len": -1}, "batten", OutOfRange),
        ({"glue": "pva"}, "glue", Unknown),
        ({"species": "plywood"}, "species", Unknown),
        ({"species": None}, "species", Unreadable),
        ({"pressure_kpa": Decimal(-1)}, "pressure", OutOfRange),
        ({"spacing_len": inches(13)}, "spacing", OutOfRange),
        ({"end_len": inches(3)}, "end", OutOfRange),
        ({"clamps": ("bar",)}, "clamps", Unreadable),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed


def test_more_held_than_owned_is_refused():
    with pytest.raises(OutOfRange) as caught:
        Clamps(reach_len=inches(40), owned=2, held=3)
    assert (caught.value.field, caught.value.allowed) == ("held", "0 to 2")
