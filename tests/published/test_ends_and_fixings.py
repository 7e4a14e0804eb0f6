"""What magazines and a book say of breadboard ends and of fixing a top: their figures, to the letter."""

from decimal import Decimal
from fractions import Fraction

import pytest

from calcs.kit.units import inches, to_inches
from calcs.structure.attachment import OnBase, attachment, places_on_rail
from calcs.structure.breadboard import breadboard
from calcs.structure.breadboard_inputs import BreadboardEnd
from tests.published.printed import rows

WOOD = {"species": "black walnut", "mc_dry_pct": Decimal(7), "mc_humid_pct": Decimal(11)}


def ends():
    return breadboard(BreadboardEnd(width_len=inches(42), thickness_len=inches("3/2"), **WOOD))


def glued():
    return to_inches(ends().glued_to_len - ends().glued_from_len)


def tongue():
    return Fraction(ends().tongue_thick_len, inches("3/2"))


def apart():
    """The largest distance on any rail of 12 to 120 in."""
    rails = [places_on_rail(width_len=inches(120), rail_len=inches(long)) for long in range(12, 121)]
    return max(to_inches(b - a) for places in rails for a, b in zip(places, places[1:], strict=False))


def widest():
    """The widest top, to an inch, that figure-eights are taken for."""
    return max(
        wide
        for wide in range(6, 40)
        if not attachment(
            OnBase(width_len=inches(wide), fixings_len=(0,), how="figure-eights", **WOOD)
        ).warnings
    )


OURS = {
    "glued in the middle": glued,
    "tongue as a share of the thickness": tongue,
    "largest distance between fixings": apart,
    "widest top for figure-eights": widest,
}


@pytest.mark.parametrize("row", rows("ends_and_fixings"), ids=lambda row: row["id"])
def test_practice_in_print(agrees, row):
    agrees(
        calculation=row["calculation"],
        kind="computed",
        ours=OURS[row["what"]](),
        printed=Fraction(row["printed"]),
        within=0,
        source=row["source"],
        seen=row["provenance"],
        unit=row["unit"],
    )
