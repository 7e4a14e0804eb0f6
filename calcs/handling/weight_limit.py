"""Weight that one person may lift, by the revised NIOSH lifting equation.

The equation lowers 51 lb by six multipliers: reach, height, travel, turn, frequency and grip. It covers
two-handed lifts on good footing. It does not cover carrying, team lifts, stairs, one-handed or unstable
loads.

References
----------
.. [1] NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, publication 94-110, 1994,
   revised September 2021.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Number, Whole
from calcs.asking.figures import Figure
from calcs.asking.inputs import check
from calcs.kit.rounding import places
from calcs.kit.units import inches, to_inches
from calcs.kit.validators import decimal
from calcs.tables import cite, rows
from calcs.wood.weight import LB_PER_KG

DURATIONS = {"short": "le1h", "moderate": "le2h", "long": "le8h"}
COUPLINGS = {
    "good": (Fraction(1), Fraction(1)),
    "fair": (Fraction("0.95"), Fraction(1)),
    "poor": (Fraction("0.9"), Fraction("0.9")),
}
LOAD_LB = 51
NIOSH = "NIOSH 94-110 (1994, rev. 9/2021), revised lifting equation, US units (read)"


@dataclass(frozen=True, kw_only=True)
class Lift:
    """One lift as the equation sees it.

    Parameters
    ----------
    horizontal_len : int
        Middle of the grip from the midpoint between the ankles [1/8 µm]; under 10 in counts as 10.
    vertical_len : int
        Hands above the floor at the point judged [1/8 µm].
    travel_len : int
        Height between start and end [1/8 µm]; under 10 in counts as 10.
    origin_vertical_len : int, optional
        Hands above the floor at the start [1/8 µm], where another point is judged.
    turn_deg : int
        Turn of the body [°].
    per_min : Decimal
        Lifts a minute; under 0.2 counts as 0.2.
    duration : {"short", "moderate", "long"}
        Up to 1, 2 or 8 hours.
    coupling : {"good", "fair", "poor"}
        Grip; poor for anything bulky without handles.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    horizontal_len: Annotated[int, Length("middle of the grip from the ankles", 0, inches(60))]
    vertical_len: Annotated[int, Length("hands above the floor", 0, inches(120))]
    travel_len: Annotated[int, Length("height between start and end", 0, inches(120))]
    origin_vertical_len: Annotated[
        int | None, Length("hands above the floor at the start", 0, inches(120))
    ] = None
    turn_deg: Annotated[int, Whole("turn of the body in degrees", 0, 180)] = 0
    per_min: Annotated[Decimal, Number("lifts a minute", "0", "60")] = Decimal("0.2")
    duration: Annotated[str, Choice("how long it goes on", tuple(DURATIONS))] = "short"
    coupling: Annotated[str, Choice("grip", tuple(COUPLINGS)), Figure("Grip")] = "poor"

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Limit:
    """Recommended weight limit of one person; zero means: do not lift so.

    Attributes
    ----------
    limit_lb, limit_kg : Decimal
        Limit, to 0.1 [lb, kg].
    horizontal, vertical, travel, turn, frequency, coupling : Decimal
        Multiplier of each term of the equation, to 0.001.
    source : tuple of str
        Sources of equation and tables.
    """

    limit_lb: Decimal
    limit_kg: Decimal
    horizontal: Decimal
    vertical: Decimal
    travel: Decimal
    turn: Decimal
    frequency: Decimal
    coupling: Decimal
    source: tuple[str, ...]


def weight_limit(lift: Lift) -> Limit:
    """Return the recommended weight limit for one person.

    Parameters
    ----------
    lift : Lift
        Reach, heights and travel [1/8 µm], turn [°], frequency and grip.

    Returns
    -------
    Limit
        Full precision inside; the manual rounds multipliers to two places, so it may differ by 3 %.

    Notes
    -----
    RWL = 51 lb x HM x VM x DM x AM x FM x CM. Beyond the limits of a term its multiplier is 0.

    References
    ----------
    .. [1] NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, publication 94-110, 1994,
       revised September 2021.

    Examples
    --------
    The manual's ideal lift: 10 in out, 30 in up, 10 in of travel, good grip.

    >>> ten = inches(10)
    >>> ideal = Lift(horizontal_len=ten, vertical_len=3 * ten, travel_len=ten, coupling="good")
    >>> weight_limit(ideal).limit_lb
    Decimal('51.0')
    """
    terms = multipliers(lift)
    limit = limit_lb(terms)
    names = ("horizontal", "vertical", "travel", "turn", "frequency", "coupling")
    row = rows("lifting_frequency")[0]
    return Limit(
        limit_lb=places(limit, 1),
        limit_kg=places(limit / LB_PER_KG, 1),
        **{name: places(term, 3) for name, term in zip(names, terms, strict=True)},
        source=(
            NIOSH,
            f"frequency: {cite(row['source'], row['provenance'])}",
            "coupling: NIOSH 94-110, Table 7 (p. 18) (read)",
        ),
    )


def lifting_index(*, load_lb: Decimal, lift: Lift) -> Decimal | None:
    """Return the load over the limit, to 0.1 as the manual prints it; up to 1 is the aim.

    Parameters
    ----------
    load_lb : Decimal
        Weight of the load, 0 to 100,000 [lb].
    lift : Lift
        How it is lifted.

    Returns
    -------
    Decimal or None
        None where the limit is zero: do not lift.

    Raises
    ------
    Unreadable, OutOfRange
    """
    decimal(load_lb, "load_lb", least="0", most="100000")
    limit = limit_lb(multipliers(lift))
    return places(Fraction(load_lb) / limit, 1) if limit else None


def limit_lb(terms: tuple[Fraction, ...]) -> Fraction:
    """Return the product of 51 lb and the multipliers [lb]."""
    limit = Fraction(LOAD_LB)
    for term in terms:
        limit *= term
    return limit


def multipliers(lift: Lift) -> tuple[Fraction, ...]:
    """Return the six multipliers: reach, height, travel, turn, frequency, grip.

    Notes
    -----
    In inches and degrees: HM = 10/H up to 25; VM = 1 - 0.0075 |V - 30| up to 70; DM = 0.82 + 1.8/D up to 70;
    AM = 1 - 0.0032 A up to 135. Beyond these a multiplier is 0. FM and CM are tables; both change at V = 30.

    References
    ----------
    .. [1] NIOSH, publication 94-110, 1994, revised September 2021, US customary units.
    """
    out, height, travel = (
        to_inches(each) for each in (lift.horizontal_len, lift.vertical_len, lift.travel_len)
    )
    origin = height if lift.origin_vertical_len is None else to_inches(lift.origin_vertical_len)
    zero = Fraction(0)
    return (
        10 / max(out, Fraction(10)) if out <= 25 else zero,
        1 - Fraction("0.0075") * abs(height - 30) if height <= 70 else zero,
        Fraction("0.82") + Fraction("1.8") / max(travel, Fraction(10)) if travel <= 70 else zero,
        1 - Fraction("0.0032") * lift.turn_deg if lift.turn_deg <= 135 else zero,
        _frequency(Fraction(lift.per_min), DURATIONS[lift.duration], origin),
        COUPLINGS[lift.coupling][height >= 30],
    )


def _frequency(per_min: Fraction, hours: str, origin: Fraction) -> Fraction:
    """Return the multiplier of table 5, read in a straight line between its rows; zero above it."""
    column = f"{hours}_V_{'ge30' if origin >= 30 else 'lt30'}"
    points = [(Fraction(row["lifts_per_min"]), Fraction(row[column])) for row in rows("lifting_frequency")]
    wanted = max(per_min, points[0][0])
    for (low, from_), (high, to) in zip(points, points[1:], strict=False):
        if low <= wanted <= high:
            return from_ + (to - from_) * (wanted - low) / (high - low)
    return Fraction(0)
