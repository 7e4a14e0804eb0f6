"""Weight that one person may lift, by the guideline weights of the UK Health and Safety Executive.

The weights stand in boxes of a figure: by the height of the hands, close to the body or with the arms out,
for men and for women. They hold for a load that is easily grasped with both hands. They are a filter, not a
limit.

References
----------
.. [1] UK HSE, INDG143, Manual handling at work, and L23, guidance to the Manual Handling Operations
   Regulations 1992.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from calcs.handling.weight_limit import Lift
from calcs.kit.units import inches
from calcs.tables import PRACTICE, cite, rows

WHO = ("men", "women")
CLOSE_LEN = inches(15)
"""Reach up to which the hands count as close to the body; common practice, no source."""
TURNS = ((90, Fraction(4, 5)), (45, Fraction(9, 10)))
"""Share that stays beyond so many degrees of turn: 20 % less beyond 90, 10 % less beyond 45."""
RATES = (
    (Decimal(8), Fraction(1, 5)),
    (Decimal(2), Fraction(1, 2)),
    (Decimal("0.5"), Fraction(7, 10)),
)
"""Share that stays above so many lifts a minute.

Printed: 30 % less at once or twice a minute, 50 % at five to eight, 80 % above twelve, none up to 30 an hour.
Rates between two of them take the larger cut.
"""
HEIGHTS = f"heights of HSE's zones, close up to 15 in: {PRACTICE}; knuckles at 30 in: NIOSH (from memory)"


@dataclass(frozen=True, kw_only=True)
class Guideline:
    """Guideline weight of one person.

    Attributes
    ----------
    weight_kg : Fraction
        Weight [kg].
    zone : str
        Zone of the hands that allows least.
    source : tuple of str
        Source of the weights, and of the heights of the zones.
    """

    weight_kg: Fraction
    zone: str
    source: tuple[str, ...]


def guideline_weight(lift: Lift, who: str) -> Guideline:
    """Return the guideline weight for one person.

    Parameters
    ----------
    lift : Lift
        Reach, heights and travel [1/8 µm], turn [°] and frequency; the grip is taken as good.
    who : {"men", "women"}
        Which of the two figures.

    Notes
    -----
    The hands pass from where they start to where they end, upwards by the travel where no start is given. Of
    the zones that they enter the smallest weight counts, as the leaflet says.

    References
    ----------
    .. [1] UK HSE, INDG143 and L23, lifting and lowering.

    Examples
    --------
    A top on edge: hands from 24 in to 36 in, so below the knuckles at first.

    >>> ten = inches(10)
    >>> on_edge = Lift(horizontal_len=ten, vertical_len=inches(24), travel_len=inches(12))
    >>> int(guideline_weight(on_edge, "men").weight_kg)
    20
    """
    low, high = _heights(lift)
    reach = "close" if lift.horizontal_len <= CLOSE_LEN else "far"
    column = f"{who}_{reach}_kg"
    least = min(_entered(low, high), key=lambda row: Fraction(row[column]))
    return Guideline(
        weight_kg=Fraction(least[column]) * _left(lift),
        zone=least["zone"],
        source=(f"guideline weights: {cite(least['source'], least['provenance'])}", HEIGHTS),
    )


def _heights(lift: Lift) -> tuple[int, int]:
    """Return the lowest and highest place of the hands [1/8 µm]."""
    if lift.origin_vertical_len is None:
        return lift.vertical_len, lift.vertical_len + lift.travel_len
    ends = sorted((lift.origin_vertical_len, lift.vertical_len))
    return ends[0], ends[1]


def _entered(low: int, high: int) -> list[dict[str, str]]:
    """Return the zones that hands between two heights enter [1/8 µm]."""
    zones = rows("guideline_weights")
    begins = [inches(row["from_in"]) for row in zones]
    ends = [*begins[1:], None]
    return [
        row
        for row, begin, end in zip(zones, begins, ends, strict=True)
        if begin <= high and (end is None or low < end)
    ]


def _left(lift: Lift) -> Fraction:
    """Return the share of the weight that turning and frequency leave.

    References
    ----------
    .. [1] UK HSE, INDG143: twisting; frequent lifting and lowering (read).
    """
    turned = next((share for degrees, share in TURNS if lift.turn_deg > degrees), Fraction(1))
    return turned * next((share for rate, share in RATES if lift.per_min > rate), Fraction(1))
