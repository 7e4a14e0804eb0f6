"""EN 1995-1-1 (2004), Table 3.2, k_def of solid timber, and 2.2.3: what lasts sags to (1 + k_def) of the
first sag. Sags are told to 1/8 µm, one of which either way is allowed.
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.structure.loaded_top import LoadedTop
from calcs.structure.sag import sag
from tests.published.printed import rows

SOURCE = "EN 1995-1-1 (2004), Table 3.2"
DESK = LoadedTop(
    length_len=inches(60),
    width_len=inches(30),
    thickness_len=inches("3/2"),
    supports_len=(0, inches(60)),
    species="sugar maple",
    own_weight=False,
    load_kg=places(40, 0),
)


@pytest.mark.parametrize("row", rows("creep"), ids=lambda row: row["climate"])
def test_what_stays_sags_on(agrees, row):
    found = sag(replace(DESK, climate=row["climate"]))
    agrees(
        calculation="sag",
        kind="table",
        ours=Fraction(found.later_len, found.sag_len) - 1,
        printed=row["k_def"],
        within=Fraction(2, found.sag_len),
        source=SOURCE,
        seen=row["provenance"],
        unit="of the first sag",
    )
