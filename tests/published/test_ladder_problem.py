"""The ladder problem of calculus textbooks: the longest that goes round a corner, (a^(2/3) + b^(2/3))^(3/2).
Whole or to four decimals; half of the last is allowed, and what the search for the angle leaves.
"""

from fractions import Fraction

import pytest

from calcs.handling.corners import longest_round
from tests.published.printed import half_a_place, rows

SOURCE = "calculus textbooks, the ladder problem"


@pytest.mark.parametrize("row", rows("ladders"), ids=lambda row: f"{row['into']}-{row['out']}")
def test_the_longest_that_goes_round(agrees, row):
    agrees(
        calculation="access",
        kind="computed",
        ours=longest_round(float(row["into"]), float(row["out"]), 0.0),
        printed=row["longest"],
        within=half_a_place(row["longest"]) if "." in row["longest"] else Fraction(1, 10**4),
        source=SOURCE,
        seen=row["provenance"],
        unit="of the unit of the corridors",
    )
