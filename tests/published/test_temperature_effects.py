"""Published effects of temperature on cure and drying: two-part adhesive makers' application notes, a trade
page on coatings, and the vapour pressure of ethanol. Each says "about": the tolerance stands in its row.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.rates import laws, rate
from calcs.sheets import finish_classes, glue_classes
from tests.published.printed import rows

SOURCES = {
    "two-part adhesive makers": "two-part adhesive makers' notes, 10 °C doubles the time",
    "trade page on drying": "trade page on coatings, 10 °C doubles the time",
    "CRC Handbook": "CRC Handbook, vapour pressure of ethanol",
}


def steady(law, temp_c):
    return law.need_s / rate(law, temp_c, 50.0)


@pytest.mark.parametrize(
    "row", rows("temperature_effects"), ids=lambda row: f"{row['key']}-{row['colder_c']}"
)
def test_cold_lengthens_as_published(agrees, row):
    sheet = (glue_classes() if row["kind"] == "glue" else finish_classes())[row["key"]]
    sheet = replace(sheet, min_temp_c=Decimal(0), max_temp_c=Decimal(40), ref_temp_c=Decimal(row["warmer_c"]))
    law = laws(sheet, "full").likely
    if row["key"] == "two-part":  # its water leaves more slowly too; here only the reaction is asked for
        law = replace(law, driver="temperature")
    agrees(
        calculation="curing",
        ours=steady(law, float(row["colder_c"])) / steady(law, float(row["warmer_c"])),
        printed=row["factor"],
        within=Fraction(row["factor"]) * int(row["tolerance_pct"]) / 100,
        source=next(said for begins, said in SOURCES.items() if row["source"].startswith(begins)),
        seen=row["provenance"],
        unit="times as long",
    )
