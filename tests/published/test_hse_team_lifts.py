"""UK HSE L23, guidance to the Manual Handling Operations Regulations 1992: what a team may lift, as worked
on pages that quote it, and the guideline weights of one person. Printed figures of teams are cut to whole or
half kilograms, so one kilogram is allowed; the weights of one are kept as printed.
"""

from decimal import Decimal

import pytest

from calcs.handling.guideline_weight import guideline_weight
from calcs.handling.lift_top import TopLift, lift_top
from calcs.handling.lifting import people_for
from calcs.handling.weight_limit import Lift
from calcs.kit.units import inches
from tests.published.printed import rows

SOURCE = "UK HSE L23, team lifts"
GUIDELINE = "UK HSE INDG143 and L23, guideline weights"
IDEAL = Lift(horizontal_len=inches(10), vertical_len=inches(30), travel_len=inches(10), coupling="good")


@pytest.mark.parametrize("row", rows("team_lifts"), ids=lambda row: row["each_kg"])
def test_shares_of_two_and_three(agrees, row):
    one, two, three = (people_for(weight_lb=Decimal(pounds), lift=IDEAL) for pounds in (51, 60, 70))
    assert (one.people, two.people, three.people) == (1, 2, 3)
    for team, printed in ((two, row["two_kg"]), (three, row["three_kg"])):
        if not printed:
            continue
        agrees(
            calculation="lifting",
            kind="computed",
            ours=team.team_limit_lb / one.team_limit_lb * Decimal(row["each_kg"]),
            printed=printed,
            within=1,
            source=SOURCE,
            seen=row["provenance"],
            unit="kg",
        )


@pytest.mark.parametrize(
    "row", rows("guideline_weights"), ids=lambda row: f"{row['who']}-{row['reach']}-{row['hands_in']}"
)
def test_weight_of_one_by_the_height_of_the_hands(agrees, row):
    out = inches(10 if row["reach"] == "close" else 20)
    found = guideline_weight(
        Lift(horizontal_len=out, vertical_len=inches(row["hands_in"]), travel_len=0), row["who"]
    )
    assert found.zone == row["zone"]
    agrees(
        calculation="lifting",
        kind="table",
        ours=found.weight_kg,
        printed=row["printed_kg"],
        within=0,
        source=GUIDELINE,
        seen=row["provenance"],
        unit="kg",
    )


# These stand in the leaflets beside their figure: a tenth less beyond 45 degrees, a fifth beyond 90;
# 30 % less at once or twice a minute, 50 % at five to eight, 80 % above twelve (read).
@pytest.mark.parametrize(
    "changes, kg",
    [
        ({"turn_deg": 45}, 25),
        ({"turn_deg": 46}, "22.5"),
        ({"turn_deg": 91}, 20),
        ({"per_min": Decimal("0.5")}, 25),
        ({"per_min": Decimal(1)}, "17.5"),
        ({"per_min": Decimal(2)}, "17.5"),
        ({"per_min": Decimal(5)}, "12.5"),
        ({"per_min": Decimal(8)}, "12.5"),
        ({"per_min": Decimal(13)}, 5),
    ],
)
def test_turning_and_haste_allow_less(agrees, changes, kg):
    lift = Lift(horizontal_len=inches(10), vertical_len=inches(35), travel_len=0, **changes)
    agrees(
        calculation="lifting",
        kind="computed",
        ours=guideline_weight(lift, "men").weight_kg,
        printed=kg,
        within=0,
        source=GUIDELINE,
        seen="read",
        unit="kg",
    )


# Close to the waist a man may lift 25 kg by the leaflet: two 33.3 kg, three 37.5 (L23 as worked, read).
def test_the_team_rule_takes_the_weight_of_its_own_guidance(agrees):
    (row,) = [row for row in rows("team_lifts") if row["each_kg"] == "25"]
    close = {"horizontal_len": inches(10), "vertical_len": inches(32), "travel_len": inches(3)}
    for weight, team in ((30, "two_kg"), (35, "three_kg")):
        top = TopLift(weight_kg=Decimal(weight), lifters="men", **close)
        agrees(
            calculation="lifting",
            kind="computed",
            ours=lift_top(top).team_limit_kg,
            printed=row[team],
            within=Decimal("0.5"),
            source=SOURCE,
            seen=row["provenance"],
            unit="kg",
        )
