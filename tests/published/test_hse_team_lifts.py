"""UK HSE L23, guidance to the Manual Handling Operations Regulations 1992: what a team may lift, as worked
on pages that quote it. Printed figures are cut to whole or half kilograms, so one kilogram is allowed.
"""

from decimal import Decimal

import pytest

from calcs.handling.lifting import people_for
from calcs.handling.weight_limit import Lift
from calcs.kit.units import inches
from tests.published.printed import rows

SOURCE = "UK HSE L23, team lifts"
IDEAL = Lift(horizontal_len=inches(10), vertical_len=inches(30), travel_len=inches(10), coupling="good")


@pytest.mark.parametrize("row", rows("team_lifts"), ids=lambda row: row["each_kg"])
def test_shares_of_two_and_three(agrees, row):
    one, two, three = (people_for(weight_lb=Decimal(pounds), lift=IDEAL) for pounds in (51, 60, 70))
    assert (one.people, two.people, three.people) == (1, 2, 3)
    for team, printed in ((two, row["two_kg"]), (three, row["three_kg"])):
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
