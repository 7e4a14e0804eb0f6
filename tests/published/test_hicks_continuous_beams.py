"""T. G. Hicks, Civil Engineering Formulas, McGraw-Hill (2002), Table 2.1: equal spans under a uniform load.

Fractions are exact: only the machine's own rounding is allowed. Decimals allow half of their fourth place.
"""

from fractions import Fraction

import pytest

from calcs.structure.beam import bend
from calcs.structure.beam_pieces import Beam
from tests.published.printed import half_a_place, rows

SOURCE = "Hicks, Civil Engineering Formulas (2002), Table 2.1"


@pytest.mark.parametrize("row", rows("continuous"), ids=lambda row: row["spans"])
def test_many_spans_share_the_load(agrees, row):
    spans = int(row["spans"])
    supports = tuple(float(n) for n in range(spans + 1))
    bent = bend(Beam(length=float(spans), supports=supports, ei=1.0), uniform=1.0)
    hogging = [-bent.moments[bent.places.index(float(n))][0] for n in range(1, spans)]
    figures = [
        *zip(bent.reactions, row["reactions_over_wl"].split(), strict=True),
        *zip(hogging, row["support_moments_over_wl2"].split(), strict=True),
    ]
    for ours, printed in figures:
        agrees(
            calculation="sag",
            kind="computed",
            ours=ours,
            printed=printed,
            within=Fraction(printed) / 10**8,
            source=SOURCE,
            seen=row["provenance"],
        )
    if row["span_moments_over_wl2"]:
        highest = max(row["span_moments_over_wl2"].split(), key=Fraction)
        agrees(
            calculation="sag",
            kind="computed",
            ours=max(max(piece) for piece in bent.moments),
            printed=highest,
            within=half_a_place("0.0703"),
            source=SOURCE,
            seen=row["provenance"],
        )
