"""People that a top takes, by the limit of one and the shares of a team.

Guidance, not proof of safety. The limit of one person is that of `calcs.handling.weight_limit`; it does not
cover carrying, stairs, poor footing, one-handed or unstable loads.

References
----------
.. [1] UK Health and Safety Executive, L23, guidance to the Manual Handling Operations Regulations 1992.
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

    Attributes
    ----------
    people : int or None
        One, two or three; None where three are not enough.
    carry : str
        The same in one line: "two people, on edge", or "cart or hoist".
    weight_lb, weight_kg : Decimal
        Weight of the top [lb, kg].
    limit_lb : Decimal
        Limit of one person, to 0.1 [lb].
    team_limit_lb, team_limit_kg : Decimal
        Limit of that team, or else of the largest, to 0.1 [lb, kg].
    notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
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
    """Return how many people lift a top, or that it wants a cart or hoist.

    Parameters
    ----------
    weight_lb : Decimal
        Weight of the top, 0.1 to 100,000 [lb].
    lift : Lift
        How it is lifted; on edge with poor grip by default.

    Returns
    -------
    People
        One, two or three. No source gives what four may lift, so beyond three it is a cart or hoist.

    Raises
    ------
    Unreadable, OutOfRange

    Notes
    -----
    A team of n may lift limit x n x share, with share 1, 2/3 and 1/2 for one, two and three.
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

    Parameters
    ----------
    people : int or None
        One, two or three; None where three are not enough.
    on_edge : bool
        True adds how the top is carried.

    Examples
    --------
    >>> carried_by(2), carried_by(None)
    ('two people, on edge', 'cart or hoist')
    """
    if people is None:
        return NO_TEAM
    return f"{COUNTS[people]}, on edge" if on_edge else COUNTS[people]


def team_limits(lift: Lift) -> dict[int, Fraction]:
    """Return the limits of one, two and three people together [lb].

    Parameters
    ----------
    lift : Lift
        How they lift.

    Notes
    -----
    One lifts the limit, two 4/3 of it, three 3/2: the sum times 1, 2/3 and 1/2.

    References
    ----------
    .. [1] UK Health and Safety Executive, L23 (read as quoted).
    """
    limit = limit_lb(multipliers(lift))
    return {count: limit * count * share for count, share in TEAM.items()}
