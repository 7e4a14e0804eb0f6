from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.finish.grits import GRADES
from calcs.finish.sanding import SandTop, sanding
from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.kit.units import inches
from tests.published.printed import rows

# Grain sizes: ISO 6344 / FEPA 43 and CAMI / ANSI B74.18 as tabulated at second hand; rows with provenance in
# tests/published/data/abrasives.csv. Nothing but the mean size of the standard's own table is compared.
PRINTED = {row["grade"]: Fraction(row["median_um"]) for row in rows("abrasives")}
TOP = SandTop(length_len=inches(60), width_len=inches(32))
P, CAMI = ([g for g in GRADES if g.startswith("P") == p] for p in (True, False))


def grades(found):
    return [grit.grade for grit in found.ladder]


# P80 is 201 µm, P120 125, P150 100, P220 68 (same table): 201/125 = 1.608, 125/100 = 1.25, 100/68 = 1.4706.
def test_a_usual_ladder_with_its_ratios():
    found = sanding(TOP)
    assert grades(found) == ["P80", "P120", "P150", "P220"]
    assert [grit.ratio for grit in found.ladder] == [None, Decimal("1.61"), Decimal("1.25"), Decimal("1.47")]


def brute(names, most):
    """Every choice of grades between the two ends, fewest first."""
    for count in range(len(names) - 1):
        ways = []
        for inner in combinations(names[1:-1], count):
            way = (names[0], *inner, names[-1])
            steps = [PRINTED[a] / PRINTED[b] for a, b in pairwise(way)]
            if max(steps) <= most:
                ways.append((sum(step**2 for step in steps), way))
        if ways:
            return list(min(ways)[1])
    return None


@given(st.sampled_from([P[:13], CAMI[:13]]), st.data())
def test_the_ladder_is_the_fewest_of_all(names, data):
    coarse, fine = sorted(
        data.draw(st.lists(st.integers(0, len(names) - 1), min_size=2, max_size=2, unique=True))
    )
    most = data.draw(st.decimals(min_value="1.2", max_value="2.5", places=2))
    top = replace(TOP, first_grit=names[coarse], last_grit=names[fine], ratio_most=most)
    expected = brute(names[coarse : fine + 1], Fraction(most))
    if expected is None:
        with pytest.raises(OutOfRange) as caught:
            sanding(top)
        assert caught.value.field == "ratio_most"
    else:
        found = sanding(top)
        assert grades(found) == expected
        left_out = [each.grade for each in found.between if each.skipped]
        assert sorted([*left_out, *expected]) == sorted(names[coarse : fine + 1])


def test_each_grade_between_is_judged_with_its_sizes():
    found = {each.grade: each for each in sanding(TOP).between}
    # P80 201 µm to P120 125 µm: 1.61; without P120 it would be P80 to P150, 201/100 = 2.01
    assert found["P100"].skipped and found["P100"].why == (
        "from P80 (201 µm) to P120 (125 µm) is 1.61 times finer, within 1.67"
    )
    assert not found["P120"].skipped and "P150 (100 µm) is 2.01 times finer, over 1.67" in found["P120"].why


def test_only_grits_in_the_shop_are_used():
    found = sanding(replace(TOP, grits=("P80", "P100", "P150", "P220")))
    assert grades(found) == ["P80", "P100", "P150", "P220"]
    with pytest.raises(OutOfRange) as caught:  # 201/68 = 2.96
        sanding(replace(TOP, grits=("P80", "P220")))
    assert "2.96" in caught.value.allowed and "between P80 and P220" in caught.value.allowed


# P400 is about CAMI 320 (35 and 36 µm), P220 and CAMI 220 are both 68 µm: the numbers part, never to mix.
def test_two_standards_in_one_ladder_are_refused_with_the_nearest_grade():
    with pytest.raises(Unknown) as caught:
        replace(TOP, last_grit="320")
    assert caught.value.field == "last_grit" and "P400" in caught.value.allowed
    with pytest.raises(Unknown) as caught:
        replace(TOP, grits=("P80", "P120", "150", "P220"))
    assert caught.value.field == "grits[3]"


# 60 x 32 in is 13 1/3 ft²; two faces 26 2/3; at a minute each 26 min 40 s a grit, the first twice; ten square
# feet a disc (0.92903 m²; NIST SP 811 app. B.8) make three discs.
def test_work_and_discs_by_hand():
    found = sanding(replace(TOP, disc_area_m2=Decimal("0.92903")))
    assert [grit.all_s for grit in found.ladder] == [3200, 1600, 1600, 1600]
    assert found.all_s == 8000
    assert [grit.discs for grit in found.ladder] == [3, 3, 3, 3] and found.discs == 12
    assert found.area_m2 == Decimal("2.48")  # 26.667 x 0.09290304


@given(st.integers(inches(1), inches(480)), st.integers(1, 3600))
def test_more_wood_is_never_less_work(length, pace):
    small = sanding(replace(TOP, length_len=length, per_ft2_s=pace))
    big = sanding(replace(TOP, length_len=min(inches(480), length * 2), per_ft2_s=pace))
    assert big.all_s >= small.all_s and big.discs >= small.discs


def test_dust_is_warned_of_with_its_source():
    assert any("dust" in text for text in sanding(TOP).cautions)
    assert any("dust" in text and "OSHA" in text for text in sanding(TOP).source)
    assert any("common practice, no source" in text for text in sanding(TOP).source)


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"length_len": 0}, "length", OutOfRange),
        ({"faces": 3}, "faces", OutOfRange),
        ({"first_grit": "P90"}, "first_grit", Unknown),
        ({"first_grit": "P220", "last_grit": "P220"}, "last_grit", OutOfRange),
        ({"first_grit": "P240"}, "last_grit", OutOfRange),  # wrong way round
        ({"grits": ("P120", "P220")}, "first_grit", Unknown),  # P80 is not in the shop
        ({"grits": "P120"}, "grits", Unreadable),
        ({"ratio_most": Decimal("1.1")}, "ratio_most", OutOfRange),
        ({"ratio_most": Decimal("NaN")}, "ratio_most", Unreadable),
        ({"per_ft2_s": 0}, "per_ft2", OutOfRange),
        ({"disc_area_m2": Decimal(0)}, "disc_area", OutOfRange),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed
