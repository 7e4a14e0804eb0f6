"""Two-part adhesive makers' application notes (undated, names withheld): a cure takes "about" twice as long
for each 10 °C. The tolerance of "about" is in the row.
"""

import pytest

from tests.published.cold import effects, lengthening, tolerance

SOURCE = "two-part adhesive makers' notes, 10 °C doubles the time"


@pytest.mark.parametrize("row", effects("two-part adhesive makers"), ids=lambda row: row["key"])
def test_ten_degrees_colder_take_twice_as_long(agrees, row):
    agrees(
        calculation="curing",
        kind="computed",
        ours=lengthening(row),
        printed=row["factor"],
        within=tolerance(row),
        source=SOURCE,
        seen=row["provenance"],
        unit="times as long",
    )
