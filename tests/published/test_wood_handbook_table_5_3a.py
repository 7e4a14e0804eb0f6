"""USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), Table 5-3a: stiffness and strength in
metric figures, where ours come from Table 5-3b. Half of the last place printed is allowed.
"""

import pytest

from calcs.wood.stiffness import stiffness
from tests.published.printed import half_a_place, rows

SOURCE = "Wood Handbook (2010), Table 5-3a"


@pytest.mark.parametrize("row", rows("strength_metric"), ids=lambda row: row["species"])
def test_the_metric_table(agrees, row):
    ours = stiffness(row["species"])
    for found, printed, unit in (
        (ours.elasticity_mpa / 1000, row["elasticity_gpa"], "GPa"),
        (ours.rupture_mpa, row["rupture_mpa"], "MPa"),
    ):
        agrees(
            calculation="sag",
            kind="table",
            ours=found,
            printed=printed,
            within=half_a_place(printed),
            source=SOURCE,
            seen=row["provenance"],
            unit=unit,
        )
