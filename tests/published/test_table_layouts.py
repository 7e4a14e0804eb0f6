"""Tops whose boards a maker counted and measured: number of strips, their sum, length of the panel between
breadboard ends. They are given to the inch and its fractions, so nothing is allowed.
"""

import pytest

from calcs.kit.units import inches, to_inches
from calcs.lumber.layout import StripLayout, strips
from tests.published.printed import rows


@pytest.mark.parametrize("row", rows("table_layouts"), ids=lambda row: row["id"])
def test_strips_of_a_top_as_made(agrees, row):
    widths = tuple(inches(each.strip()) for each in row["widths_in"].split(",") if each)
    made = strips(
        StripLayout(
            length_len=inches(row["length_in"]),
            width_len=inches(row["width_in"]),
            widest_len=inches(row["widest_in"]),
            actual_widths_len=widths or None,
            end_wide_len=inches(row["end_wide_in"] or 0),
            tongue_deep_len=inches(row["tongue_in"] or 0),
            trim_len=0,
        )
    )
    ours = {"count": made.count, "blank": to_inches(made.blank_len), "sum": to_inches(made.sum_len)}
    agrees(
        calculation="layout",
        kind="computed",
        ours=ours[row["asks"]],
        printed=row["printed"],
        within=0,
        source="makers' tops, boards counted and measured",
        seen=row["provenance"],
        unit="boards" if row["asks"] == "count" else "in",
    )
