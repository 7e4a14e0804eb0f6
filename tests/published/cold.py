"""How many times longer a class takes in the cold, for the published effects of temperature."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from calcs.curing.laws import laws
from calcs.curing.rates import rate
from calcs.materials.product_sheets import finish_classes, glue_classes
from tests.published.printed import rows


def effects(begins):
    """The rows whose source begins so."""
    return [row for row in rows("temperature_effects") if row["source"].startswith(begins)]


def lengthening(row):
    sheet = (glue_classes() if row["kind"] == "glue" else finish_classes())[row["key"]]
    sheet = replace(sheet, min_temp_c=Decimal(0), max_temp_c=Decimal(40), ref_temp_c=Decimal(row["warmer_c"]))
    law = laws(sheet, "full").likely
    if row["key"] == "two-part":  # its water leaves more slowly too; here only the reaction is asked for
        law = replace(law, driver="temperature")
    return rate(law, float(row["warmer_c"]), 50.0) / rate(law, float(row["colder_c"]), 50.0)


def tolerance(row):
    return Fraction(row["factor"]) * int(row["tolerance_pct"]) / 100
