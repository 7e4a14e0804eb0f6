"""Dew points: a marine coatings maker's information sheet 1650 (2013), DIN 4108-5 (1981), Table 1, and
charts and pages of paint makers (undated, names withheld). The tolerance each claims stands in its row;
ours carry one decimal, half of which is added.
"""

from decimal import Decimal

import pytest

from calcs.air import Air, dew_point, may_coat
from calcs.units import parse_temperature
from tests.published.printed import rows

SOURCES = {
    "marine coatings maker information sheet 1650": "marine coatings maker, sheet 1650 (2013)",
    "DIN 4108-5": "DIN 4108-5 (1981), Table 1",
    "": "paint makers' dew point charts and pages",
}
CASES = rows("dew_point")


def source_of(row):
    return next(said for begins, said in SOURCES.items() if row["source"].startswith(begins))


@pytest.mark.parametrize(
    "row", [row for row in CASES if row["kind"] == "dew_point"], ids=lambda row: row["case_id"]
)
def test_dew_points(agrees, row):
    air_c = Decimal(row["air_c"]) if row["air_c"] else parse_temperature(row["air_f"], unit="F")
    found = dew_point(Air(temp_c=air_c, rh_pct=Decimal(row["rh_pct"])))
    fahrenheit = row["answer_unit"] == "degF"
    agrees(
        calculation="finishing",
        ours=found * 9 / 5 + 32 if fahrenheit else found,
        printed=row["answer"],
        within=Decimal(row["tolerance"]) + Decimal("0.05"),
        source=source_of(row),
        seen=row["provenance"],
        unit="°F" if fahrenheit else "°C",
    )


# Air of 21 °C with a wet bulb of 17 °C is about 68 % RH by psychrometric table.
@pytest.mark.parametrize(
    "row", [row for row in CASES if row["kind"] == "ok_to_coat_3c"], ids=lambda row: row["case_id"]
)
def test_a_surface_far_enough_above_may_be_coated(agrees, row):
    air = Air(temp_c=Decimal(row["air_c"]), rh_pct=Decimal(68))
    answer = may_coat(air, surface_c=Decimal(row["surface_c"]))
    agrees(
        calculation="finishing",
        ours="yes" if answer.ok else "no",
        printed=row["answer"],
        within=0,
        source=source_of(row),
        seen=row["provenance"],
    )
