"""What one person may lift, by the revised NIOSH equation, and how many people a top needs.

Guidance, not proof of safety. The equation does not cover carrying, team lifts, stairs, poor footing,
one-handed or unstable loads.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from calcs.handling.weight_limit import NIOSH, Lift, limit_lb, multipliers
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.kit.validators import decimal
from calcs.tables import PRACTICE
from calcs.wood.weight import LB_PER_KG

TEAM = {1: Fraction(1), 2: Fraction(2, 3), 3: Fraction(1, 2)}
"""Share of the sum of what each may lift alone. No source gives one for four."""
COUNTS = {1: "one person", 2: "two people", 3: "three people"}
NO_TEAM = "cart or hoist"

HSE = "UK HSE L23: two people two thirds, three one half of the sum of what each may lift (read)"
ABOVE_THREE = (
    "heavier than three people may lift: the rule in print gives four no share, and more than four rarely"
    " work together, so use a cart or hoist"
)
CAUTIONS = (
    "guidance, not proof of safety: the lifter's own limits, local rules and trained advice come first",
    "carrying, stairs, slopes and poor footing are not covered and allow less",
    "carry on edge, never flat by the ends; gloves, closed shoes, a clear way, one person gives the word",
)


CAUTION_SOURCE = "carrying, stairs, slopes, teams of more than four: NIOSH 94-110, p. 6; UK HSE L23 (read)"


# A top carried on edge between bench, horses and van, hands under the lower edge.
TOP_ON_EDGE = Lift(horizontal_len=inches(12), vertical_len=inches(24), travel_len=inches(12))


@dataclass(frozen=True, kw_only=True)
class People:
    """People for one top.

    ``people`` is None where three are not enough. ``carry`` says it in one line: "two people, on edge", or
    "cart or hoist". ``team_limit_lb`` and ``team_limit_kg`` are what that team, or else the largest, may
    lift, to 0.1.
    """

    people: int | None
    carry: str
    weight_lb: Decimal
    weight_kg: Decimal
    limit_lb: Decimal
    team_limit_lb: Decimal
    team_limit_kg: Decimal
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def people_for(*, weight_lb: Decimal, lift: Lift = TOP_ON_EDGE) -> People:
    """How many people lift a top, or that it wants a cart or hoist.

    Parameters
    ----------
    weight_lb : Decimal
        Weight of the top [lb].
    lift : Lift
        How it is lifted; on edge with poor grip unless told.

    Returns
    -------
    People
        One, two or three. No source gives what four may lift, so beyond three it is a cart or hoist.

    Notes
    -----
    "As an approximate guide, the capability of a two-person team is two-thirds the sum of their individual
    capabilities and for a three-person team the capability is half the sum of their individual capabilities.
    Teams of more than four members are unlikely to work successfully" (L23, read as quoted).

    References
    ----------
    .. [1] UK Health and Safety Executive, L23, guidance to the Manual Handling Operations Regulations 1992.
    """
    decimal(weight_lb, "weight_lb", least="0.1", most="100000")
    allowed = team_limits(lift)
    enough = [count for count, most in allowed.items() if most >= Fraction(weight_lb)]
    people = enough[0] if enough else None
    team_limit = allowed[people or max(TEAM)]
    on_edge = (
        (f"hands 12 in out and 24 in up, lifted 12 in, poor grip: {PRACTICE}",) if lift == TOP_ON_EDGE else ()
    )
    return People(
        people=people,
        carry=carried_by(people, on_edge=lift == TOP_ON_EDGE),
        weight_lb=weight_lb,
        weight_kg=places(Fraction(weight_lb) / LB_PER_KG, 1),
        limit_lb=places(allowed[1], 1),
        team_limit_lb=places(team_limit, 1),
        team_limit_kg=places(team_limit / LB_PER_KG, 1),
        notes=() if people else (ABOVE_THREE,),
        cautions=CAUTIONS,
        source=(NIOSH, HSE, *on_edge, CAUTION_SOURCE),
    )


def carried_by(people: int | None, *, on_edge: bool = True) -> str:
    """Return who carries a top, in one line.

    Examples
    --------
    >>> carried_by(2), carried_by(None)
    ('two people, on edge', 'cart or hoist')
    """
    if people is None:
        return NO_TEAM
    return f"{COUNTS[people]}, on edge" if on_edge else COUNTS[people]


def team_limits(lift: Lift) -> dict[int, Fraction]:
    """Return what one, two and three people may lift together [lb]."""
    limit = limit_lb(multipliers(lift))
    return {count: limit * count * share for count, share in TEAM.items()}
