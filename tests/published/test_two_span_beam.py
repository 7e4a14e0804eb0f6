"""M. R. Lindeburg, Civil Engineering Reference Manual, 15th ed.: the deepest place of two equal spans."""

import pytest

from calcs.structure.beam import bend
from calcs.structure.beam_pieces import Beam
from tests.published.printed import half_a_place, rows

SOURCE = "Lindeburg, Civil Engineering Reference Manual, 15th ed."


@pytest.mark.parametrize("row", rows("two_spans"), ids=lambda row: row["place_over_l"])
def test_two_spans_sag_most_where_printed(agrees, row):
    where, deep = bend(Beam(length=2.0, supports=(0.0, 1.0, 2.0), ei=1.0), uniform=1.0).deepest(0.0, 1.0)
    for ours, printed, places_ in ((where, row["place_over_l"], 10), (deep, row["sag_ei_over_wl4"], 2)):
        agrees(  # the place is flat and hard to read off: five units of its last place
            calculation="sag",
            kind="computed",
            ours=ours,
            printed=printed,
            within=half_a_place(printed) * places_,
            source=SOURCE,
            seen=row["provenance"],
        )
