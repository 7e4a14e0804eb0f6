from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.errors import OutOfRange, Unknown, Unreadable
from calcs.lifting import TOP_ON_EDGE, Lift, lifting_index, people_for, weight_limit
from calcs.units import inches, mm
from tests.calcs.printed import rows

EXAMPLES = rows("lifting")
ORIGIN_HEIGHT = {row["example"]: row["V_in"] for row in EXAMPLES if row["point"] == "origin"}
TERMS = {
    "horizontal": "HM",
    "vertical": "VM",
    "travel": "DM",
    "turn": "AM",
    "frequency": "FM",
    "coupling": "CM",
}


def lift(row):
    return Lift(
        horizontal_len=inches(row["H_in"]),
        vertical_len=inches(row["V_in"]),
        travel_len=inches(row["D_in"]),
        origin_vertical_len=inches(ORIGIN_HEIGHT.get(row["example"], row["V_in"])),
        turn_deg=int(row["A_deg"]),
        per_min=Decimal(row["F_lifts_per_min"]),
        duration="short",
        coupling=row["coupling"],
    )


# NIOSH 94-110 (1994, rev. 9/2021), worked examples 1, 2 and 5; provenance of each in tables/lifting.csv.
# The manual rounds multipliers to two places and prints HM .44 for H = 23 where the formula gives .435, so
# 3 % on the limit and 0.1 on the index are allowed, 0.006 on a multiplier.
@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["case_id"])
def test_limits_match_the_manual(row):
    found = weight_limit(lift(row))
    assert found.limit_lb == pytest.approx(Decimal(row["RWL_lb"]), rel=Decimal("0.03"))
    index = lifting_index(load_lb=Decimal(row["load_lb"]), lift=lift(row))
    assert index == pytest.approx(Decimal(row["LI"]), abs=Decimal("0.1"))
    for name, printed in TERMS.items():
        assert getattr(found, name) == pytest.approx(Decimal(row[printed]), abs=Decimal("0.006"))


IDEAL = Lift(horizontal_len=inches(10), vertical_len=inches(30), travel_len=inches(10), coupling="good")


# NIOSH 94-110, p. 7: under ideal conditions every multiplier is 1 and the limit 51 lb.
def test_the_ideal_lift_is_51_pounds():
    assert weight_limit(IDEAL).limit_lb == 51
    closer = replace(IDEAL, horizontal_len=inches(5), travel_len=0, per_min=Decimal("0.1"))
    assert weight_limit(closer).limit_lb == 51


# Same place: beyond H 25 in, V 70 in, D 70 in, A 135 degrees, or above table 5, the multiplier is 0.
@pytest.mark.parametrize(
    "changes",
    [
        {"horizontal_len": inches("25.1")},
        {"vertical_len": inches("70.1")},
        {"travel_len": inches("70.1")},
        {"turn_deg": 136},
        {"per_min": Decimal("15.1")},
        {"per_min": Decimal(9), "duration": "long", "vertical_len": inches(29)},
    ],
)
def test_beyond_the_limits_nothing_may_be_lifted(changes):
    impossible = replace(IDEAL, **changes)
    assert weight_limit(impossible).limit_lb == 0
    assert lifting_index(load_lb=Decimal(10), lift=impossible) is None
    assert people_for(weight_lb=Decimal(1), lift=impossible).people is None


# NIOSH 94-110, table 5 (from memory), fractional rates read straight between rows (read): 1 a minute 0.94,
# 2 a minute 0.91 up to an hour; 3 and 4 a minute 0.55 and 0.45 over 2 to 8 hours.
@pytest.mark.parametrize(
    "rate, duration, expected", [("1", "short", "0.94"), ("1.5", "short", "0.925"), ("3.5", "long", "0.5")]
)
def test_frequency_is_read_between_rows(rate, duration, expected):
    found = weight_limit(replace(IDEAL, per_min=Decimal(rate), duration=duration))
    assert found.frequency == Decimal(expected)


COLUMNS = {"le1h": "short", "le2h": "moderate", "le8h": "long"}
CELLS = [
    (row["lifts_per_min"], name, row[name])
    for row in rows("frequency")
    for name in row
    if name.startswith("le")
]


# NIOSH 94-110, table 5, every cell (from memory; the columns up to 1 hour partly read). Above 15 a minute 0.
@pytest.mark.parametrize("rate, column, printed", CELLS)
def test_frequency_is_that_of_the_table(rate, column, printed):
    hours, _, height = column.partition("_V_")
    asked = replace(
        IDEAL,
        per_min=Decimal("15.5") if rate == ">15" else Decimal(rate),
        duration=COLUMNS[hours],
        vertical_len=inches(30 if height == "ge30" else 29),
    )
    assert weight_limit(asked).frequency == Decimal(printed)


# NIOSH 94-110, the metric form: 23 kg, 25/H, 1 - 0.003 |V - 75|, 0.82 + 4.5/D, in cm. It is no exact
# conversion of the US form: 51 lb are 0.6 % more, 10 in 1.6 %, the term of V up to 1.2 %, that of D 0.3 %.
@given(st.integers(26, 63), st.integers(0, 175), st.integers(26, 175), st.integers(0, 135))
def test_the_metric_form_of_the_equation_agrees(out, height, travel, turn):
    metric = (
        23 * (25 / out) * (1 - 0.003 * abs(height - 75)) * (0.82 + 4.5 / travel) * (1 - 0.0032 * turn) * 0.90
    )
    asked = Lift(
        horizontal_len=mm(10 * out), vertical_len=mm(10 * height), travel_len=mm(10 * travel), turn_deg=turn
    )
    found = float(weight_limit(asked).limit_kg)
    assert abs(found - metric) <= 0.038 * metric + 0.051  # the limit is rounded to 0.1


# UK HSE L23, worked figures on pages quoting it (read): 50 kg each gives 66 kg for two and 75 kg for three,
# 25 kg each 33 and 37.5. Here 51 lb each: 68.0 for two, 76.5 for three.
@pytest.mark.parametrize(
    "weight, people", [("51", 1), ("51.1", 2), ("68", 2), ("68.1", 3), ("76.5", 3), ("76.6", None)]
)
def test_two_lift_two_thirds_and_three_one_half_of_the_sum(weight, people):
    assert people_for(weight_lb=Decimal(weight), lift=IDEAL).people == people


@pytest.mark.parametrize("each, two, three", [(50, 66, 75), (25, 33, "37.5"), (16, 21, 24)])
def test_team_shares_are_those_of_the_guidance(each, two, three):
    one = people_for(weight_lb=Decimal(51), lift=IDEAL)
    pair = people_for(weight_lb=Decimal(60), lift=IDEAL)
    trio = people_for(weight_lb=Decimal(70), lift=IDEAL)
    # printed figures are cut to whole kilograms, or to half
    assert float(pair.team_limit_lb / one.team_limit_lb) == pytest.approx(two / each, abs=0.03)
    assert float(trio.team_limit_lb / one.team_limit_lb) == pytest.approx(float(three) / each, abs=0.001)


# A hardwood dining top of well over 150 lb: two people are not enough (common practice, no source).
def test_a_dining_top_wants_a_cart():
    found = people_for(weight_lb=Decimal("154.4"))
    assert (found.people, found.carry) == (None, "cart or hoist")
    assert "do not add a person" in found.notes[0]
    assert "not proof of safety" in found.cautions[0]
    assert any("no source" in text for text in found.source)


@given(st.decimals(min_value=1, max_value=300, places=1), st.decimals(min_value=1, max_value=300, places=1))
def test_a_heavier_top_never_takes_fewer_people(one, other):
    light, heavy = (people_for(weight_lb=each).people or 99 for each in sorted((one, other)))
    assert light <= heavy


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"horizontal_len": -1}, "horizontal", OutOfRange),
        ({"vertical_len": inches(121)}, "vertical", OutOfRange),
        ({"travel_len": 3.5}, "travel", Unreadable),
        ({"origin_vertical_len": -1}, "origin_vertical", OutOfRange),
        ({"turn_deg": 181}, "turn_deg", OutOfRange),
        ({"per_min": Decimal(-1)}, "per_min", OutOfRange),
        ({"duration": "forever"}, "duration", Unknown),
        ({"coupling": "sticky"}, "coupling", Unknown),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP_ON_EDGE, **changes)
    assert caught.value.field == field


def test_a_weight_of_nothing_is_refused():
    with pytest.raises(OutOfRange) as caught:
        people_for(weight_lb=Decimal(0))
    assert caught.value.field == "weight_lb"
