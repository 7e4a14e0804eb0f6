"""Dew points beside those of a table, in its own unit."""

from decimal import Decimal

from calcs.kit.units import parse_temperature
from calcs.wood.air import Air, dew_point
from tests.published.printed import rows

DEW_POINTS = [row for row in rows("dew_point") if row["kind"] == "dew_point"]
NAMED = ("marine coatings maker information sheet 1650", "DIN 4108-5")


def compare(agrees, row, source):
    air_c = Decimal(row["air_c"]) if row["air_c"] else parse_temperature(row["air_f"], unit="F")
    found = dew_point(Air(temp_c=air_c, rh_pct=Decimal(row["rh_pct"])))
    fahrenheit = row["answer_unit"] == "degF"
    agrees(  # ours carry one decimal, half of which is added to what the table claims
        calculation="finishing",
        kind="computed",
        ours=found * 9 / 5 + 32 if fahrenheit else found,
        printed=row["answer"],
        within=Decimal(row["tolerance"]) + Decimal("0.05"),
        source=source,
        seen=row["provenance"],
        unit="°F" if fahrenheit else "°C",
    )
