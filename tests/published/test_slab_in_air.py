"""Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, Table 5.1: first root of z tan z = Bi for a
plane wall, by which wood follows the air. Four decimals: half of the last is allowed.
"""

import pytest

from calcs.curing.heat_lag import first_root
from tests.published.printed import half_a_place, rows

SOURCE = "Incropera and DeWitt, Table 5.1, plane wall"


@pytest.mark.parametrize("row", rows("slab_roots"), ids=lambda row: row["biot"])
def test_first_root_of_a_plane_wall(agrees, row):
    agrees(
        calculation="curing",
        kind="computed",
        ours=first_root(float(row["biot"])),
        printed=row["root"],
        within=half_a_place(row["root"]),
        source=SOURCE,
        seen=row["provenance"],
        unit="rad",
    )
