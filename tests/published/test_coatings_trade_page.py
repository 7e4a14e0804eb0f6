"""A trade page on drying and curing of coatings (undated, name withheld): a two-part finish takes twice as
long at 10 °C as at 20 °C. The tolerance is in the row.
"""

import pytest

from tests.published.cold import effects, lengthening, tolerance

SOURCE = "trade page on coatings, 10 °C doubles the time"


@pytest.mark.parametrize("row", effects("trade page on drying"), ids=lambda row: row["key"])
def test_a_two_part_finish_in_the_cold(agrees, row):
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
