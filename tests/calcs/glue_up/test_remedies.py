"""Changes that save a clamping: each is worked by hand from the pace and the sheet's times."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from calcs.glue_up.gluing import gluing
from calcs.glue_up.gluing_inputs import GlueLines
from calcs.glue_up.remedies import pace_of, remedies
from calcs.kit.units import inches
from calcs.materials.product_sheets import glue_classes

GLUES = glue_classes()
# Seven strips, 98 in long as glued: a joint takes 20 + 8 x 98/12 = 85 1/3 s, six of them 512 s. White glue
# stays open for 5 min (read, see calcs/tables/glues.csv), of which 70 % are 210 s.
TOP = GlueLines(
    strips_len=(inches(6),) * 7,
    length_len=inches(98),
    thickness_len=inches("1.75"),
    glue=GLUES["pva"],
    temp_c=Decimal(21),
    rh_pct=Decimal(50),
)


def test_one_more_pair_of_hands_shares_the_spreading():
    """20 + 8 x 98/12 / 2 = 52 2/3 s a joint, 316 s in all; three joints go into 210 s instead of two."""
    (hands,) = [r for r in remedies(TOP, ()) if "hands" in r.what]
    assert (hands.needed_s, hands.allowed_s, hands.clampings) == (316, 210, 2)
    assert hands.gained_s == 512 - 316


def test_a_slower_glue_is_told_with_what_it_gives():
    """The quickest glues that save a clamping, each with 70 % of its open time."""
    told = [r for r in remedies(TOP, GLUES.values()) if r.what.startswith("glue: ")]
    assert 1 <= len(told) <= 3
    by_name = {glue.name: glue for glue in GLUES.values()}
    for remedy in told:
        glue = by_name[remedy.what.removeprefix("glue: ")]
        assert glue.open_s > TOP.glue.open_s
        assert remedy.clampings < 3 and remedy.needed_s == 512
    assert [r.allowed_s for r in told] == sorted(r.allowed_s for r in told)


def test_a_cooler_shop_helps_where_the_heat_takes_the_open_time():
    hot = replace(TOP, temp_c=Decimal(32))
    now = pace_of(hot)
    cooler = [r for r in remedies(hot, ()) if "shop" in r.what]
    assert now is not None and now.allowed_s < 210
    if cooler:
        assert cooler[0].allowed_s > now.allowed_s and cooler[0].clampings < now.clampings


def test_done_in_one_go_nothing_is_told():
    small = replace(TOP, strips_len=(inches(6),) * 3)
    assert remedies(small, GLUES.values()) == () and gluing(small).remedies == ()


def test_a_timed_dry_fit_is_not_made_quicker_on_paper():
    timed = replace(TOP, dry_fit_s=500)
    assert not [r for r in remedies(timed, ()) if "hands" in r.what]


@given(st.integers(3, 12), st.integers(24, 140), st.integers(15, 30))
def test_every_remedy_saves_a_clamping_and_keeps_the_sheet(strips: int, length: int, temp: int):
    top = replace(TOP, strips_len=(inches(5),) * strips, length_len=inches(length), temp_c=Decimal(temp))
    now = pace_of(top)
    for remedy in remedies(top, GLUES.values()):
        assert now is not None and remedy.clampings < now.clampings and remedy.gained_s > 0
