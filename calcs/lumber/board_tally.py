"""Board feet of a tally of boards, by the trade's rounding.

A tally adds the surface measures of boards of one thickness, multiplies by the thickness and rounds to whole
board feet. Boards measured before drying lose their shrinkage.

References
----------
.. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.
.. [2] US National Conference on Weights and Measures, 1977: dried hardwood is charged by the net figure.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Percent, Text, Whole
from calcs.asking.figures import Figure
from calcs.asking.inputs import Rows, check
from calcs.kit.rounding import half_up, places
from calcs.kit.units import UNITS_PER_INCH, inches
from calcs.lumber.board_footage import BOARD_FOOT, FOOT, nominal_inches, surface_ft2

MOST_BOARDS = 1000
RULES = ("NHLA", "export bundle")
MEASURED = ("after drying", "before drying")
SHRINKAGE = Percent("shrinkage in the kiln", "0", "20")
NHLA_TALLY = (
    "NHLA tally: surface measures of one thickness added, then x thickness, to the nearest board foot (read"
    " at a hardwood terminology page); an exact half alternately up and down (from memory)"
)
BUNDLE = (
    "export bundle tally: widths to the nearest inch, an exact half alternately up and down, part feet"
    " dropped (American Hardwood Export Council, measurement; read)"
)
NET = (
    "net is measured after drying and is what may be charged for dried hardwood: US National Conference on"
    " Weights and Measures, 1977 (read in a trade magazine); shrinkage 6 to 9 %: common practice, no source"
)


@dataclass(frozen=True, kw_only=True)
class Boards:
    """Boards alike in one row of a tally.

    Parameters
    ----------
    thickness_len, width_len, length_len : int
        Rough thickness, width, length [1/8 µm].
    count : int
        Number of boards.
    name : str, optional
        What they are called, such as the number chalked on a board.

    Raises
    ------
    Unreadable, OutOfRange
    """

    thickness_len: Annotated[int, Length("rough thickness", inches("1/4"), inches(12))]
    width_len: Annotated[int, Length("width", inches(1), inches(60))]
    length_len: Annotated[int, Length("length", inches(12), inches(480))]
    count: Annotated[int, Whole("how many", 1, MOST_BOARDS)] = 1
    name: Annotated[str | None, Text("what they are called")] = None

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class BoardTally:
    """Boards to be tallied.

    Parameters
    ----------
    boards : tuple of Boards
        In the order of the tally, which decides which exact half goes up.
    rule : {"NHLA", "export bundle"}
        Rule of rounding.
    measured : {"after drying", "before drying"}
        When the boards were measured.
    shrinkage_pct : Decimal
        Board feet lost in the kiln [%], where measured before drying; 8 by default.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    boards: Annotated[tuple[Boards, ...], Rows("boards", of=Boards, least=1, most=200)]
    rule: Annotated[str, Choice("rule of measuring", RULES)] = "NHLA"
    measured: Annotated[str, Choice("when measured", MEASURED)] = "after drying"
    shrinkage_pct: Annotated[Decimal, SHRINKAGE] = Decimal(8)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class Tallied:
    """One row of the tally.

    Attributes
    ----------
    thickness_len, width_len, length_len : int
        Size of a board [1/8 µm].
    count : int
        Number of boards.
    surface_ft2 : Decimal
        Surface measure of the row, to 0.01 [ft²].
    each_bf : Decimal or None
        Board feet of one board; None where boards alike came out differently, by an exact half.
    all_bf : Decimal
        Board feet of the row, to 0.01.
    """

    thickness_len: Annotated[int, Figure("Thickness")]
    width_len: Annotated[int, Figure("Width")]
    length_len: Annotated[int, Figure("Length")]
    count: Annotated[int, Figure("How many")]
    surface_ft2: Annotated[Decimal, Figure("Surface")]
    each_bf: Annotated[Decimal | None, Figure("Each")]
    all_bf: Annotated[Decimal, Figure("All")]


@dataclass(frozen=True, kw_only=True)
class Tally:
    """Board feet of all boards.

    Attributes
    ----------
    rows : tuple of Tallied
        Rows in the order asked.
    boards : int
        Number of boards.
    sum_bf : Decimal
        Sum of the rows, to 0.01 [board ft].
    total_bf : Decimal
        Whole board feet, each thickness rounded by itself.
    net_bf, gross_bf : Decimal or None
        After drying, and before it; ``gross_bf`` is None where the boards were measured after.
    notes, source : tuple of str
        Notes and sources.
    """

    rows: Annotated[tuple[Tallied, ...], Figure("Boards at hand, by size")]
    boards: Annotated[int, Figure("Boards at hand")]
    sum_bf: Annotated[Decimal, Figure("Boards at hand, sum of the sizes")]
    total_bf: Annotated[Decimal, Figure("Boards at hand, total")]
    net_bf: Annotated[Decimal, Figure("Boards at hand, after drying")]
    gross_bf: Annotated[Decimal | None, Figure("Boards at hand, before drying")]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def tally(asked: BoardTally) -> Tally:
    """Return the board feet of a list of boards.

    Parameters
    ----------
    asked : BoardTally
        Boards, rule, and when they were measured.

    Returns
    -------
    Tally

    Notes
    -----
    The first exact half of a tally goes up, the next down, and so on through the whole list. A bundle tally
    rounds only the widths, not the surface measure of single boards. Net = total x (1 - shrinkage) where the
    boards were measured before drying.

    References
    ----------
    .. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.
    .. [2] US National Conference on Weights and Measures, 1977: dried hardwood is charged by the net figure.

    Examples
    --------
    Four boards 6 in x 9 ft have 4 1/2 ft² each: 5 + 4 + 5 + 4.

    >>> row = Boards(thickness_len=inches(1), width_len=inches(6), length_len=inches(108), count=4)
    >>> tally(BoardTally(boards=(row,))).total_bf
    Decimal('18')
    """
    measured, goes_up = [], True
    for row in asked.boards:
        found = _measured(row, asked.rule, goes_up)
        measured.append(found)
        goes_up = found.goes_up
    by_thickness: dict[Fraction, Fraction] = {}
    for row, found in zip(asked.boards, measured, strict=True):
        thick = nominal_inches(row.thickness_len)
        by_thickness[thick] = by_thickness.get(thick, Fraction(0)) + found.surface * thick
    total = Decimal(sum(half_up(feet) for feet in by_thickness.values()))
    dried = asked.measured == "after drying"
    net = total if dried else places(Fraction(total) * (1 - Fraction(asked.shrinkage_pct) / 100), 2)
    return Tally(
        rows=tuple(_row(row, found) for row, found in zip(asked.boards, measured, strict=True)),
        boards=sum(row.count for row in asked.boards),
        sum_bf=places(sum(by_thickness.values(), Fraction(0)), 2),
        total_bf=total,
        net_bf=net,
        gross_bf=None if dried else total,
        notes=() if dried else ("measured before drying: dried hardwood is charged by the net figure",),
        source=(NHLA_TALLY if asked.rule == "NHLA" else BUNDLE, BOARD_FOOT, NET),
    )


@dataclass(frozen=True)
class _Measured:
    """Surface of a row of boards [ft²], whether all came out alike, whether the next exact half goes up."""

    surface: Fraction
    alike: bool
    goes_up: bool


def _measured(row: Boards, rule: str, goes_up: bool) -> _Measured:
    """Return the surface of a row of boards by a rule; exact halves go alternately up and down."""
    feet = row.length_len // FOOT
    bundle = rule == "export bundle"
    one = Fraction(row.width_len, UNITS_PER_INCH) if bundle else surface_ft2(row.width_len, row.length_len)
    share = Fraction(feet, 12) if bundle else Fraction(1)
    if one.denominator != 2:
        return _Measured(half_up(one) * row.count * share, True, goes_up)
    ups = (row.count + goes_up) // 2
    after = goes_up if row.count % 2 == 0 else not goes_up
    return _Measured((int(one) * row.count + ups) * share, row.count == 1, after)


def _row(row: Boards, found: _Measured) -> Tallied:
    """Return one row of the tally with its board feet."""
    thick = nominal_inches(row.thickness_len)
    return Tallied(
        thickness_len=row.thickness_len,
        width_len=row.width_len,
        length_len=row.length_len,
        count=row.count,
        surface_ft2=places(found.surface, 2),
        each_bf=places(found.surface * thick / row.count, 2) if found.alike else None,
        all_bf=places(found.surface * thick, 2),
    )
