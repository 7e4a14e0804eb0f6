from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches, to_inches
from calcs.structure.breadboard import WALL, breadboard
from calcs.structure.breadboard_inputs import FLUSH, BreadboardEnd
from tests.published.printed import rows

# A 40 in flatsawn black walnut panel from 7 to 11 % gains 0.4384 in: coefficient of Wood Handbook (2010)
# table 13-5 (read), sum worked out in tests/published/data/movement.csv, E7.
(E7,) = [row for row in rows("movement") if row["id"] == "E7"]
END = BreadboardEnd(
    species="black walnut",
    width_len=inches(E7["start_size"]),
    mc_made_pct=Decimal(E7["mc_start_pct"]),
    mc_dry_pct=Decimal(E7["mc_start_pct"]),
    mc_humid_pct=Decimal(E7["mc_end_pct"]),
)
MC = st.decimals(min_value=6, max_value=14, places=1)


def inch(units):
    return float(to_inches(units))


# Cut flush in the dry season, the panel stands proud by half of 0.4384 at either edge in the humid one.
@pytest.mark.parametrize(
    "flush, dry, humid",
    [
        ("when made", 0, -0.2192),
        ("in the dry season", 0, -0.2192),
        ("in the humid season", 0.2192, 0),
        ("between", 0.1096, -0.1096),
    ],
)
def test_reveal_by_the_worked_example(flush, dry, humid):
    found = breadboard(replace(END, flush=flush))
    assert [inch(found.reveal.dry_len), inch(found.reveal.humid_len)] == pytest.approx(
        [dry, humid], abs=0.0001
    )
    assert inch(found.end_len) == pytest.approx(40 + 2 * dry, abs=0.0001)
    assert found.flush == flush and any(flush in note for note in found.notes)


def test_tongue_and_pegs_by_hand():
    found = breadboard(END)
    # tongue 38 in: its end, 19 in from the middle, moves out 19 x 0.00274 x 4 = 0.2082; with half of 1/16
    assert found.tongue_len == inches(38)
    assert inch(found.clearance_len) == pytest.approx(0.2082 + 1 / 32, abs=0.0001)
    assert found.mortise_len == found.tongue_len + 2 * found.clearance_len
    # pegs at 3, 20 and 37 in; 17 in from the middle 17 x 0.00274 x 4 = 0.1863, with peg 3/8 and play 1/16
    assert [peg.at_len for peg in found.pegs] == [inches(3), inches(20), inches(37)]
    assert [inch(peg.slot.slot_len) for peg in found.pegs] == pytest.approx(
        [0.6238, 0.375, 0.6238], abs=0.0001
    )
    assert [peg.round for peg in found.pegs] == [False, True, False]
    # the tongue moves out, so the peg nears the inner end: 0.1863 + half of 7/16
    assert inch(found.pegs[0].slot.inner_len) == pytest.approx(0.1863 + 0.21875, abs=0.0001)
    # "apply glue only to the center 6 in. or so" (Pekovich, read): 17 to 23 in; 6 x 0.00274 x 4 = 0.0658
    assert (found.glued_from_len, found.glued_to_len) == (inches(17), inches(23))
    assert inch(found.held_len) == pytest.approx(0.0658, abs=0.0001)


@given(MC, MC, MC, st.integers(inches(16), inches(60)), st.sampled_from([1, 3, 5]), st.sampled_from(FLUSH))
def test_nothing_binds_in_any_season(made, one, other, width, pegs, flush):
    end = replace(
        END,
        width_len=width,
        pegs=pegs,
        peg_edge_len=inches(4),
        flush=flush,
        mc_made_pct=made,
        mc_dry_pct=min(one, other),
        mc_humid_pct=max(one, other),
    )
    found = breadboard(end)
    half = Fraction(found.tongue_len, 2)
    for season in ("mc_made_pct", "mc_dry_pct", "mc_humid_pct"):
        share = found.seasons.coefficient * (getattr(found.seasons, season) - made)
        tongue = half * (1 + Fraction(share))
        assert tongue <= Fraction(found.mortise_len, 2)  # the tongue stays off the ends of the mortise
        for peg in found.pegs:
            away = abs(peg.at_len - Fraction(width, 2))
            moved = away * Fraction(share)
            inner, outer = (peg.slot.inner_len - moved, peg.slot.slot_len - peg.slot.inner_len + moved)
            assert inner >= Fraction(end.peg_len, 2) - 2 and outer >= Fraction(end.peg_len, 2) - 2
    assert found.mortise_len <= found.end_len - 2 * WALL
    reveal = (found.reveal.when_made_len, found.reveal.dry_len, found.reveal.humid_len)
    if flush != "between":
        assert abs(reveal[("when made", "in the dry season", "in the humid season").index(flush)]) <= 1
    else:
        assert abs(found.reveal.dry_len + found.reveal.humid_len) <= 2


# A book on Shaker furniture (read): the tongue is a third of the thickness. Half of the end's width for its
# depth, and 1/16 in more for the mortise: common practice, no source.
def test_the_size_of_end_tongue_and_mortise_by_hand():
    found = breadboard(replace(END, thickness_len=inches("3/2")))
    assert (found.end_wide_len, found.end_thick_len) == (inches(4), inches("3/2"))
    assert (found.tongue_thick_len, found.tongue_deep_len) == (inches("1/2"), inches(2))
    assert (found.mortise_deep_len, found.peg_in_len) == (inches("33/16"), inches(1))
    assert breadboard(END).tongue_thick_len is None  # the thickness is not known
    own = {"end_wide_len": inches(5), "tongue_deep_len": inches("3/2"), "tongue_thick_len": inches("3/8")}
    found = breadboard(replace(END, **own))
    assert {name: getattr(found, name) for name in own} == own


def test_the_year_is_told_in_words():
    dry, humid = breadboard(replace(END, flush="between")).year
    # half of 0.4384 in over two edges: 0.1096 in, 7/64 in
    assert dry.startswith('dry season: the end stands proud of the panel by ≈ 7/64"')
    assert humid.startswith('humid season: the panel stands proud of the end by ≈ 7/64"')
    assert breadboard(END).year[0] == "dry season: flush at both edges"


def test_a_third_of_a_wide_top_is_too_much_glue():
    assert breadboard(END).warnings == ()
    (told,) = breadboard(replace(END, width_len=inches(42), glued_len=inches(14))).warnings
    assert told.startswith('14" (355.6 mm) of glue across the grain holds back') and "split" in told
    narrow = breadboard(replace(END, width_len=inches(12)))
    assert narrow.glued_to_len - narrow.glued_from_len == inches(4)


def test_a_thin_tongue_is_told():
    thin = replace(END, thickness_len=inches("3/2"), tongue_thick_len=inches("1/4"))
    assert any("breaks" in told for told in breadboard(thin).warnings)


def test_what_would_come_through_is_refused():
    with pytest.raises(OutOfRange) as caught:  # 40 in end less two walls leaves 39 in for the mortise
        breadboard(replace(END, tongue_len=inches(39)))
    assert caught.value.field == "tongue"
    with pytest.raises(OutOfRange) as caught:  # slot to 1 in from the edge, the tongue ends there
        breadboard(replace(END, peg_edge_len=inches("3/2")))
    assert caught.value.field == "peg_edge"
    with pytest.raises(OutOfRange) as caught:
        breadboard(replace(END, width_len=inches(13), pegs=9))
    assert caught.value.field == "pegs"


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"width_len": inches(5)}, "width", OutOfRange),
        ({"tongue_len": inches(40)}, "tongue", OutOfRange),
        ({"pegs": 4}, "pegs", OutOfRange),
        ({"pegs": 0}, "pegs", OutOfRange),
        ({"peg_len": 0}, "peg", OutOfRange),
        ({"peg_edge_len": inches(20)}, "peg_edge", OutOfRange),
        ({"tolerance_len": -1}, "tolerance", OutOfRange),
        ({"tongue_deep_len": inches("15/4")}, "tongue_deep", OutOfRange),
        ({"thickness_len": inches(1), "tongue_thick_len": inches("5/8")}, "tongue_thick", OutOfRange),
        ({"glued_len": inches(21)}, "glued", OutOfRange),
        ({"flush": "always"}, "flush", Unknown),
        ({"species": None}, "species", Unreadable),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(END, **changes)
    assert caught.value.field == field and caught.value.allowed
