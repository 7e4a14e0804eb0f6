"""Lifting of a top by the people at hand: its weight against the limits of one and of a team.

Guidance, not proof of safety. Carrying, stairs, slopes and poor footing are outside the limits.

References
----------
.. [1] NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, publication 94-110, 1994,
   revised September 2021.
.. [2] UK Health and Safety Executive, L23, guidance to the Manual Handling Operations Regulations 1992.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Number, Percent, Whole, Wood
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows
from calcs.handling.lifting import (
    ANYBODY,
    COUNTS,
    LIFTERS,
    TOP_ON_EDGE,
    People,
    Team,
    both_weights,
    people_for,
)
from calcs.handling.weight_limit import Lift, lifting_index, weight_limit
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places
from calcs.kit.units import inches
from calcs.wood.weight import LB_PER_KG, Channel, TopWeight, weight

SIZES = ("length_len", "width_len", "thickness_len", "species")


@dataclass(frozen=True, kw_only=True)
class TopLift(Lift):
    """Top to be lifted: its weight, or its size and species; the lift; the people there.

    Parameters
    ----------
    weight_kg : Decimal, optional
        Weight of the top [kg]; else it is worked out.
    length_len, width_len, thickness_len : int, optional
        Finished size [1/8 µm], with ``species``, ``mc_pct`` [%], ``channels`` and ``fittings_kg`` [kg].
    people : int, optional
        People there to lift.
    lifters : {"anybody", "men", "women"}
        Whose strength counts: the NIOSH limit, or HSE's guideline weight for men or women.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
        Also where both weight and size are given, or neither in full.

    Notes
    -----
    The other inputs are those of `calcs.handling.weight_limit.Lift`; a top on edge by default.
    """

    horizontal_len: Annotated[int, Length("middle of the grip from the ankles", 0, inches(60))] = (
        TOP_ON_EDGE.horizontal_len
    )
    vertical_len: Annotated[int, Length("hands above the floor", 0, inches(120))] = TOP_ON_EDGE.vertical_len
    travel_len: Annotated[
        int, Length("height between start and end", 0, inches(120)), Figure("Lifted by")
    ] = TOP_ON_EDGE.travel_len
    weight_kg: Annotated[
        Decimal | None, Number("weight of the top", "0.1", "40000", "kg"), Figure("Weight")
    ] = None
    length_len: Annotated[
        int | None, Length("finished length", inches("1/8"), inches(480)), Figure("Length")
    ] = None
    width_len: Annotated[
        int | None, Length("finished width", inches("1/8"), inches(240)), Figure("Width")
    ] = None
    thickness_len: Annotated[
        int | None, Length("finished thickness", inches("1/8"), inches(12)), Figure("Thickness")
    ] = None
    species: Annotated[str | None, Wood("species")] = None
    mc_pct: Annotated[Decimal, Percent("moisture content", "0", "30")] = Decimal(8)
    channels: Annotated[
        tuple[Channel, ...], Rows("steel channels of the top", Channel, 0, 20), Figure("Channels")
    ] = ()
    fittings_kg: Annotated[
        Decimal, Number("fittings of the top", "0", "1000", "kg"), Figure("Fittings", quiet=True)
    ] = Decimal(0)
    people: Annotated[int | None, Whole("people there to lift", 1, 20), Figure("People there")] = None
    lifters: Annotated[str, Choice("whose strength counts", LIFTERS), Figure("Strength of")] = ANYBODY

    def __post_init__(self) -> None:
        super().__post_init__()
        given = [name for name in SIZES if getattr(self, name) is not None]
        if self.weight_kg is not None and given:
            raise _either("weight", self.weight_kg, "the weight, or size and species, not both")
        if self.weight_kg is None and len(given) < len(SIZES):
            raise _either("weight", None, "the weight, or length, width, thickness and species")
        if self.weight_kg is None:
            self.top()

    def top(self) -> TopWeight:
        """Return the top to be weighed, where no weight is given."""
        assert self.length_len is not None and self.width_len is not None
        assert self.thickness_len is not None and self.species is not None
        return TopWeight(
            length_len=self.length_len,
            width_len=self.width_len,
            thickness_len=self.thickness_len,
            species=self.species,
            mc_pct=self.mc_pct,
            channels=self.channels,
            fittings_kg=self.fittings_kg,
        )


@dataclass(frozen=True, kw_only=True)
class TopLifting:
    """Effort of lifting a top.

    Attributes
    ----------
    people : int or None
        People it takes; None where three are not enough.
    carry : str
        The same in one line: "two people, on edge" or "cart or hoist".
    enough : bool or None
        True where those there may lift it; None where nobody was counted.
    weight_kg, weight_lb : Decimal
        Weight of the top, to 0.1 [kg, lb].
    teams : tuple of Team
        Limits of one, two and three people, by the NIOSH limit and by HSE's weights.
    limit_kg, limit_lb : Decimal
        What one person may lift so, to 0.1 [kg, lb].
    team_limit_kg, team_limit_lb : Decimal
        Limit of the people named, or else of three, to 0.1 [kg, lb].
    index : Decimal or None
        Weight over the NIOSH limit of one, to 0.1; None where nothing may be lifted so.
    horizontal, vertical, travel, turn, frequency, coupling : Decimal
        Multipliers of the equation, to 0.001.
    warnings, notes, cautions, source : tuple of str
        Sentences for the maker, and the sources.
    """

    people: Annotated[int | None, Figure("People")]
    carry: Annotated[str, Figure("Carry with")]
    enough: Annotated[bool | None, Figure("Enough")]
    weight_kg: Annotated[Decimal, Figure("Weight")]
    weight_lb: Annotated[Decimal, Figure("Weight")]
    limit_kg: Annotated[Decimal, Figure("One person may lift")]
    limit_lb: Annotated[Decimal, Figure("One person may lift")]
    team_limit_kg: Annotated[Decimal, Figure("The team may lift")]
    team_limit_lb: Annotated[Decimal, Figure("The team may lift")]
    teams: Annotated[tuple[Team, ...], Figure("What a team may lift")]
    index: Annotated[Decimal | None, Figure("Lifting index, by the NIOSH limit")]
    horizontal: Annotated[Decimal, Figure("Factor of the reach")]
    vertical: Annotated[Decimal, Figure("Factor of the height")]
    travel: Annotated[Decimal, Figure("Factor of the travel")]
    turn: Annotated[Decimal, Figure("Factor of the turn")]
    frequency: Annotated[Decimal, Figure("Factor of the frequency")]
    coupling: Annotated[Decimal, Figure("Factor of the grip")]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    source: tuple[str, ...]


def lift_top(asked: TopLift) -> TopLifting:
    """Return how many people a top takes, or that it wants a cart or hoist.

    Parameters
    ----------
    asked : TopLift
        Weight [kg] or size [1/8 µm], the lift, and the people there.

    Returns
    -------
    TopLifting

    Raises
    ------
    Unknown
        If the weight is to be worked out and the species has no specific gravity.

    Notes
    -----
    One person by the revised NIOSH equation, or by HSE's guideline weight; two may lift two thirds, three one
    half of the sum. Carrying, stairs, slopes and poor footing are outside all of them.

    References
    ----------
    .. [1] NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, publication 94-110, 1994,
       revised September 2021.
    .. [2] UK Health and Safety Executive, L23, guidance to the Manual Handling Operations Regulations 1992.
    """
    lift = Lift(**{name: getattr(asked, name) for name in Lift.__dataclass_fields__})
    exact_lb, notes, source = _weight(asked)
    limit = weight_limit(lift)
    team = people_for(weight_lb=exact_lb, lift=lift, lifters=asked.lifters)
    enough = None if asked.people is None else team.people is not None and asked.people >= team.people
    return TopLifting(
        people=team.people,
        carry=team.carry,
        enough=enough,
        weight_kg=places(Fraction(exact_lb) / LB_PER_KG, 1),
        weight_lb=places(exact_lb, 1),
        limit_kg=team.limit_kg,
        limit_lb=team.limit_lb,
        team_limit_kg=team.team_limit_kg,
        team_limit_lb=team.team_limit_lb,
        teams=team.teams,
        index=lifting_index(load_lb=exact_lb, lift=lift),
        **{
            name: getattr(limit, name)
            for name in ("horizontal", "vertical", "travel", "turn", "frequency", "coupling")
        },
        warnings=_warnings(asked, lift, team),
        notes=(*team.notes, *notes),
        cautions=team.cautions,
        source=tuple(dict.fromkeys((*team.source, *limit.source, *source))),
    )


def _weight(asked: TopLift) -> tuple[Decimal, tuple[str, ...], tuple[str, ...]]:
    """Return the weight [lb] with its notes and sources: as given, else worked out."""
    if asked.weight_kg is not None:
        return places(Fraction(asked.weight_kg) * LB_PER_KG, 3), (), ()
    found = weight(asked.top())
    return found.each_lb, found.notes, found.source


def _warnings(asked: TopLift, lift: Lift, team: People) -> tuple[str, ...]:
    """Return a warning where the people there are not enough, with what to do.

    Parameters
    ----------
    asked : TopLift
        People there.
    lift : Lift
        How it is lifted.
    team : People
        People it takes, and what two and three of them may lift.
    """
    needed = team.people
    if asked.people is None or (needed is not None and asked.people >= needed):
        return ()
    if needed is not None:
        there = "one is" if asked.people == 1 else "two are"
        return (f"{COUNTS[needed]} are needed and {there} there: call more, or use a cart or hoist",)
    if not team.limit_lb:
        return ("nobody may lift it so: change reach, height or turn, or use a cart or hoist",)
    on_edge = " on edge" if lift == TOP_ON_EDGE else ""
    two, three = (both_weights(team.shares_lb[count]) for count in (2, 3))
    return (
        f"it weighs {both_weights(Fraction(team.weight_lb))}, and two people may lift {two}{on_edge}, three"
        f" {three}: use a cart or hoist",
    )


def _either(field: str, value: object, allowed: str) -> OutOfRange:
    """Return the refusal of a top without one clear weight."""
    return OutOfRange(f"{field}: give {allowed}", field=field, value=value, allowed=allowed)
