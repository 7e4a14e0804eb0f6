"""Tables about to tip, in textbooks of physics and in ISO 7172: equilibrium of moments about the legs.

Half of the last printed place is allowed. Where a book takes g = 9.8 m/s², the 0.07 % to 9.80665 m/s² comes
on top.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.kit.units import mm, to_mm
from calcs.structure.tipping import GRAVITY, tipping
from calcs.structure.tipping_inputs import FROM_EDGE_LEN, OnFeet
from tests.published.printed import half_a_place, rows

ROWS = {row["id"]: row for row in rows("tipping")}


def metres(value: str) -> int:
    return mm(Decimal(value) * 1000)


def end_of(row: dict[str, str]):
    length, legs = metres(row["length_m"]), metres(row["legs_in_m"])
    table = OnFeet(
        length_len=length,
        width_len=mm(1000),
        feet_length_len=length - 2 * legs,
        feet_width_len=mm(1000),
        top_kg=Decimal(row["table_kg"]),
        load_kg=Decimal(row["person_kg"]),
        from_edge_len=0,
    )
    return tipping(table).edges[1]


def arm(row: dict[str, str]) -> float:
    """How far past the legs the person may be: what holds the table over the person's weight."""
    return float(end_of(row).holding_nm) / (GRAVITY * float(row["person_kg"]))


OURS = {
    "how close to the edge": lambda row: float(row["legs_in_m"]) - arm(row),
    "how far past the leg": arm,
    "moment of the table": lambda row: float(end_of(row).holding_nm),
}


@pytest.mark.parametrize("row", [ROWS[n] for n in ("T1", "T2a", "T2b", "T3")], ids=lambda row: row["id"])
def test_a_table_tips_where_the_book_says(agrees, row):
    with_g = Fraction(row["answer"]) * Fraction("0.0007") if row["id"] == "T2a" else 0
    agrees(
        calculation="tipping",
        kind="computed",
        ours=OURS[row["quantity"]](row),
        printed=row["answer"],
        within=half_a_place(row["answer"]) + with_g,
        source=row["source"],
        seen=row["provenance"],
        unit=row["unit"].replace("*", "·"),
    )


def test_the_load_stands_where_the_standard_puts_it(agrees):
    row = ROWS["T4"]
    agrees(
        calculation="tipping",
        kind="table",
        ours=to_mm(FROM_EDGE_LEN),
        printed=row["answer"],
        within=0,
        source=row["source"],
        seen=row["provenance"],
        unit=row["unit"],
    )
