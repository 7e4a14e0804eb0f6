"""CRC Handbook of Chemistry and Physics: vapour pressure of ethanol at 20 and 30 °C. A film that dries by
evaporation takes as many times longer; two digits of each, the tolerance of the row.
"""

import pytest

from tests.published.cold import effects, lengthening, tolerance

SOURCE = "CRC Handbook, vapour pressure of ethanol"


@pytest.mark.parametrize("row", effects("CRC Handbook"), ids=lambda row: row["key"])
def test_a_film_of_alcohol_dries_by_its_vapour_pressure(agrees, row):
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
