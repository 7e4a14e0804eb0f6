"""Mean grain sizes of ISO 6344 / FEPA 43 (P) and CAMI / ANSI B74.18, as tabulated at second hand. They are
kept as printed, so nothing is allowed.
"""

from fractions import Fraction

import pytest

from calcs.finish.grits import GRADES, grain_um
from tests.published.printed import rows

SOURCES = {"P": "FEPA 43 / ISO 6344, as tabulated", "": "CAMI / ANSI B74.18, as tabulated"}


@pytest.mark.parametrize("row", rows("abrasives"), ids=lambda row: row["grade"])
def test_grain_sizes(agrees, row):
    assert row["grade"] in GRADES
    agrees(
        calculation="sanding",
        kind="table",
        ours=Fraction(grain_um(row["grade"])),
        printed=row["median_um"],
        within=0,
        source=SOURCES["P" if row["grade"].startswith("P") else ""],
        seen=row["provenance"],
        unit="µm",
    )
