"""NHLA rules, standard thickness of surfaced hardwood lumber, as tabulated by an engineering data site. Its
figures are fractions of an inch, so nothing is allowed.
"""

import pytest

from calcs.kit.units import inches, to_inches
from calcs.lumber.quarters import quarters_for, quarters_of
from tests.published.printed import rows

SOURCE = "NHLA standard thicknesses, as tabulated"


@pytest.mark.parametrize("row", rows("lumber"), ids=lambda row: row["quarters"])
def test_rough_and_surfaced_thickness(agrees, row):
    (found,) = quarters_of((row["quarters"],))
    assert quarters_for(inches(row["surfaced_in"])).quarters == row["quarters"]
    for ours, column in (
        (found.rough_len, "rough_in"),
        (found.one_side_len, "one_side_in"),
        (found.surfaced_len, "surfaced_in"),
    ):
        if row[column]:
            agrees(
                calculation="lumber",
                kind="table",
                ours=to_inches(ours),
                printed=row[column],
                within=0,
                source=SOURCE,
                seen=row["provenance"],
                unit="in",
            )
        else:
            assert ours is None
