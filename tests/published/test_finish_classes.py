"""Finishes by generic class: makers' data sheets and trade pages (undated or as their rows say, names
withheld). A class must sit at or beyond the cautious end of every figure: covering less, drying longer, a
narrower range of use. Temperatures and coverages are rounded, half of whose last place is allowed.
"""

from fractions import Fraction

import pytest

from calcs.materials.product_sheets import finish_classes
from tests.published.printed import rows

SOURCE = "finish makers' data sheets and trade pages, by class"
SECONDS = {"min": 60, "h": 3600, "day": 86400}
CLASSES = {
    "waterborne_polyurethane": "water-borne",
    "oil_polyurethane": "oil-polyurethane",
    "nitrocellulose_lacquer": "lacquer",
    "hardwax_oil": "hard-wax-oil",
    "shellac": "shellac",
    "penetrating_oil": "penetrating-oil",
}
FIELDS = {
    "touch_dry": "touch_dry_s",
    "recoat_earliest": "recoat_from_s",
    "light_use": "light_use_s",
    "full_cure": "full_s",
}
M2_PER_L = Fraction("0.09290304") / Fraction("3.785412")  # of ft²/gal: NIST SP 811 (2008), appendix B.8
ROWS = [row for row in rows("finishes") if row["condition"] != "aim"]


def celsius(fahrenheit):
    return (Fraction(fahrenheit) - 32) * 5 / 9


def compared(finish, row):
    """Our figure, the range it must lie in, what rounding allows, the unit; twice for a range of use."""
    kind, least, most = row["property"], row["min"], row["max"]
    if kind == "coverage" and row["condition"] == "per dry mil at 100 % transfer":
        # The same sheet says 3 to 5 mil wet a coat: 1604.17 ft² a gallon at 1 mil, a fifth of that at 5; a
        # foot less is cautious.
        at_5_mil = Fraction("1604.17") / 5
        return [(finish.coverage_m2_per_l, ((at_5_mil - 1) * M2_PER_L, at_5_mil * M2_PER_L), 0, "m²/L")]
    if kind == "coverage":
        return [(finish.coverage_m2_per_l, (None, Fraction(least) * M2_PER_L), Fraction("0.005"), "m²/L")]
    if kind == "volume_solids":
        return [(finish.volume_solids_pct, (least, least), 0, "%")]
    if kind == "temperature_of_use":
        rounding = Fraction("0.005")
        coldest = (finish.min_temp_c, (celsius(least), None), rounding, "°C")
        warmest = (finish.max_temp_c, (None, celsius(most)), rounding, "°C") if most else None
        return [each for each in (coldest, warmest) if each]
    if kind == "humidity_of_use":
        return [(finish.rh_max_pct, (None, most), 0, "% RH")]
    if kind == "recoat_latest_without_sanding":
        return [(finish.recoat_to_s, (None, Fraction(least) * SECONDS[row["unit"]]), 0, "s")]
    return [(getattr(finish, FIELDS[kind]), (Fraction(most) * SECONDS[row["unit"]], None), 0, "s")]


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row['finish_class']}-{row['property']}-{row['max'] or row['min']}"
)
def test_a_class_takes_the_cautious_end(agrees, row):
    two_part = row["condition"].startswith("two-component, per coat")
    finish = finish_classes()["two-part" if two_part else CLASSES[row["finish_class"]]]
    for ours, printed, within, unit in compared(finish, row):
        agrees(
            calculation="finishing",
            kind="table",
            ours=ours,
            printed=printed,
            within=within,
            source=SOURCE,
            seen=row["provenance"],
            unit=unit,
        )
