"""People that a top takes, by what one may lift and the shares of a team.

Guidance, not proof of safety. What one may lift is the limit of `calcs.handling.weight_limit`, or HSE's own
weight of `calcs.handling.guideline_weight`. Neither covers carrying, stairs, poor footing, one-handed or
unstable loads.

References
----------
.. [1] UK Health and Safety Executive, L23, guidance to the Manual Handling Operations Regulations 1992.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.handling.guideline_weight import WHO, guideline_weight
from calcs.handling.weight_limit import NIOSH, Lift, limit_lb, multipliers
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.kit.validators import decimal, one_of
from calcs.tables import PRACTICE
from calcs.wood.weight import LB_PER_KG

TEAM = {1: Fraction(1), 2: Fraction(2, 3), 3: Fraction(1, 2)}
"""Share of the sum of what each may lift alone. No source gives one for four."""
COUNTS = {1: "one person", 2: "two people", 3: "three people"}
NO_TEAM = "cart or hoist"

HSE = "UK HSE L23: two people two thirds, three one half of the sum of what each may lift (read)"
ANYBODY = "anybody"
LIFTERS = (ANYBODY, *WHO)
"""Whose strength counts: anybody's by the NIOSH limit, men's or women's by HSE's guideline weight."""
ABOVE_THREE = (
    "heavier than three people may lift: the rule in print gives four no share, and more than four rarely"
    " work together, so use a cart or hoist"
)
FOUR = (
    "four people: UK HSE L23 gives no share (read); HSE's team chart INDG383 calls up to 40 kg low risk for"
    " three and for four alike (from memory)"
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
class Team:
    """Limits of one team in pounds and kilograms, each to 0.1, by what each of them may lift.

    Attributes
    ----------
    people : int
        One, two or three.
    niosh : str
        By the NIOSH limit.
    men, women : str
        By HSE's guideline weight.
    """

    people: Annotated[int, Figure("People")]
    niosh: Annotated[str, Figure("By the NIOSH limit")]
    men: Annotated[str, Figure("By HSE's weight for men")]
    women: Annotated[str, Figure("By HSE's weight for women")]


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
    limit_lb, limit_kg : Decimal
        What one person may lift, to 0.1 [lb, kg].
    shares_lb : dict of int to Fraction
        What one, two and three of them may lift together [lb].
    teams : tuple of Team
        One, two and three people, by each of the three strengths.
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
    limit_kg: Decimal
    shares_lb: Mapping[int, Fraction]
    teams: tuple[Team, ...]
    team_limit_lb: Decimal
    team_limit_kg: Decimal
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def people_for(*, weight_lb: Decimal, lift: Lift = TOP_ON_EDGE, lifters: str = ANYBODY) -> People:
    """Return how many people lift a top, or that it wants a cart or hoist.

    Parameters
    ----------
    weight_lb : Decimal
        Weight of the top, 0.1 to 100,000 [lb].
    lift : Lift
        How it is lifted; on edge with poor grip by default.
    lifters : {"anybody", "men", "women"}
        Whose strength counts.

    Returns
    -------
    People
        One, two or three. No source gives what four may lift, so beyond three it is a cart or hoist.

    Raises
    ------
    Unreadable, OutOfRange, Unknown

    Notes
    -----
    A team of n may lift what one may x n x share, with share 1, 2/3 and 1/2 for one, two and three.
    "As an approximate guide, the capability of a two-person team is two-thirds the sum of their individual
    capabilities and for a three-person team the capability is half the sum of their individual capabilities.
    Teams of more than four members are unlikely to work successfully" (L23, read as quoted).
    The rule leaves open what one may lift. HSE's guideline weight takes a load that is easily grasped; the
    edge of a top is not. So the NIOSH limit is taken, which counts the grip, unless men or women are named.
    Another strength gives another answer, and a note says which.

    References
    ----------
    .. [1] UK Health and Safety Executive, L23, guidance to the Manual Handling Operations Regulations 1992.
    """
    decimal(weight_lb, "weight_lb", least="0.1", most="100000")
    one_of(lifters, "lifters", LIFTERS)
    weights = {who: guideline_weight(lift, who) for who in WHO}
    alone = {ANYBODY: limit_lb(multipliers(lift))}
    alone |= {who: found.weight_kg * LB_PER_KG for who, found in weights.items()}
    needed = {who: _needed(Fraction(weight_lb), limit) for who, limit in alone.items()}
    people, allowed = needed[lifters], _shares(alone[lifters])
    team_limit = allowed[people or max(TEAM)]
    on_edge = lift == TOP_ON_EDGE
    return People(
        people=people,
        carry=carried_by(people, on_edge=on_edge),
        weight_lb=weight_lb,
        weight_kg=_kg(Fraction(weight_lb)),
        limit_lb=places(allowed[1], 1),
        limit_kg=_kg(allowed[1]),
        shares_lb=allowed,
        teams=_teams(alone),
        team_limit_lb=places(team_limit, 1),
        team_limit_kg=_kg(team_limit),
        notes=(*(() if people else (ABOVE_THREE,)), *_otherwise(lifters, needed, alone)),
        cautions=CAUTIONS,
        source=(
            NIOSH,
            HSE,
            *weights["men"].source,
            *((FOUR,) if people is None else ()),
            *((f"hands 12 in out and 24 in up, lifted 12 in, poor grip: {PRACTICE}",) if on_edge else ()),
            CAUTION_SOURCE,
        ),
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


def _needed(weight_lb: Fraction, alone_lb: Fraction) -> int | None:
    """Return the people whose limit is enough, where one may lift so much [lb]; None for more than three."""
    return next((count for count, most in _shares(alone_lb).items() if most >= weight_lb), None)


def _shares(alone_lb: Fraction) -> dict[int, Fraction]:
    """Return the limits of one, two and three people together [lb].

    Notes
    -----
    One lifts the limit, two 4/3 of it, three 3/2: the sum times 1, 2/3 and 1/2.
    """
    return {count: alone_lb * count * share for count, share in TEAM.items()}


def _teams(alone: Mapping[str, Fraction]) -> tuple[Team, ...]:
    """Return one, two and three people with their limits by each strength.

    Parameters
    ----------
    alone : dict of str to Fraction
        What one may lift by each strength [lb].
    """
    limits = {who: _shares(limit) for who, limit in alone.items()}
    return tuple(
        Team(
            people=count,
            niosh=both_weights(limits[ANYBODY][count]),
            men=both_weights(limits["men"][count]),
            women=both_weights(limits["women"][count]),
        )
        for count in TEAM
    )


def _otherwise(
    lifters: str,
    needed: Mapping[str, int | None],
    alone: Mapping[str, Fraction],
) -> tuple[str, ...]:
    """Return a note where another strength would give another answer, with the reason.

    Parameters
    ----------
    lifters : str
        Whose strength counts.
    needed : dict of str to int or None
        People it takes by each strength; None for more than three.
    alone : dict of str to Fraction
        What one may lift by each [lb].
    """
    others = [who for who in LIFTERS if needed[who] != needed[lifters]]
    if not others:
        return ()
    said = [f"by {_by(who, alone)} it would be {carried_by(needed[who], on_edge=False)}" for who in others]
    return (
        f"counted by {_by(lifters, alone)}; {'; '.join(said)}: HSE's weights hold for a load that is easily"
        " grasped, the NIOSH limit counts reach and grip",
    )


def _by(who: str, alone: Mapping[str, Fraction]) -> str:
    """Return a strength in words, with what one may lift by it."""
    each = f"of {both_weights(alone[who])} each"
    return f"the NIOSH limit {each}" if who == ANYBODY else f"HSE's weight for {who} {each}"


def both_weights(pounds: Fraction) -> str:
    """Return a weight [lb] in pounds and kilograms, each to 0.1.

    Examples
    --------
    >>> both_weights(Fraction(51))
    '51.0 lb (23.1 kg)'
    """
    return f"{places(pounds, 1)} lb ({_kg(pounds)} kg)"


def _kg(pounds: Fraction) -> Decimal:
    """Return a weight in pounds as kilograms, to 0.1."""
    return places(pounds / LB_PER_KG, 1)
