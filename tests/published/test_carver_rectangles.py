"""J. E. Wetzel, Rectangles in Rectangles, Mathematics Magazine 73 (2000), after W. B. Carver (1957): p x q
with p > a goes into a x b if b is at least (2pqa + (p² - q²) sqrt(p² + q² - a²)) / (p² + q²). The
condition was read; openings by it are worked out apart and given to six decimals: half of the last is
allowed.
"""

import pytest

from calcs.handling.corners import narrowest
from tests.published.printed import half_a_place, rows

SOURCE = "Wetzel, Mathematics Magazine 73 (2000), after Carver"


@pytest.mark.parametrize("row", rows("rectangles"), ids=lambda row: f"{row['p']}x{row['q']}-{row['a']}")
def test_the_narrowest_opening(agrees, row):
    width, _ = narrowest(float(row["p"]), float(row["q"]), float(row["a"]))
    agrees(
        calculation="access",
        kind="computed",
        ours=width,
        printed=row["b"],
        within=half_a_place(row["b"]),
        source=SOURCE,
        seen=row["provenance"],
        unit="of the unit of the opening",
    )
