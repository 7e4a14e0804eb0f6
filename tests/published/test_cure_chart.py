"""Gel, recoat and cure time chart of a two-part epoxy coating at seven temperatures (undated; maker
withheld).

Two of its rows, 50 and 90 °F, give the law; the rows between are printed to 15 or 30 min in 2 to 4 h, and
the chart is not smooth (sprayed: 135, 105, 60 min at 70, 80, 90 °F): a fifth is allowed.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.curing.laws import laws
from calcs.curing.points import Point
from calcs.curing.rates import rate
from calcs.materials.product_sheets import glue_classes
from tests.published.printed import rows

SOURCE = "cure time chart of a two-part epoxy coating"
EPOXY = replace(glue_classes()["epoxy"], min_temp_c=Decimal(0), max_temp_c=Decimal(40))


def celsius(fahrenheit):
    return (Decimal(fahrenheit) - 32) * 5 / 9


@pytest.mark.parametrize("step", ["dry", "sprayed dry"])
@pytest.mark.parametrize("at", ["60", "70", "80"])
def test_two_points_give_the_rows_between(agrees, step, at):
    chart = {row["temperature_f"]: row for row in rows("cure_chart") if row["step"] == step}
    own = [
        Point(step="unclamp", temp_c=round(celsius(t), 2), time_s=int(chart[t]["minutes"]) * 60)
        for t in ("50", "90")
    ]
    law = laws(EPOXY, "unclamp", own).likely
    agrees(
        calculation="curing",
        kind="computed",
        ours=law.need_s / rate(law, float(celsius(at)), 50.0) / 60,
        printed=chart[at]["minutes"],
        within=Fraction(chart[at]["minutes"]) / 5,
        source=SOURCE,
        seen=chart[at]["provenance"],
        unit="min",
    )
