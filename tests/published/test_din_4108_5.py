"""DIN 4108-5 (1981), Table 1: dew points of air, from memory.

One decimal is printed. The 0.15 °C of each row is no claim of the print: so near came our computation by
the ASHRAE formulas, apart from this code.
"""

import pytest

from tests.published.dew import DEW_POINTS, NAMED, compare

SOURCE = "DIN 4108-5 (1981), Table 1"
ROWS = [row for row in DEW_POINTS if row["source"].startswith(NAMED[1])]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['air_c']}C-{row['rh_pct']}")
def test_dew_points(agrees, row):
    compare(agrees, row, SOURCE)
