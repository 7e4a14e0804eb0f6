"""A marine coatings maker's information sheet 1650 (June 2013, name withheld): table of dew points.

One decimal is printed. The 0.15 °C of each row is no claim of the print: so near came our computation by
the ASHRAE formulas, apart from this code.
"""

import pytest

from tests.published.dew import DEW_POINTS, NAMED, compare

SOURCE = "marine coatings maker, sheet 1650 (2013)"
ROWS = [row for row in DEW_POINTS if row["source"].startswith(NAMED[0])]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['air_c']}C-{row['rh_pct']}")
def test_dew_points(agrees, row):
    compare(agrees, row, SOURCE)
