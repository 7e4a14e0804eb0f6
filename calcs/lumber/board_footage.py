"""Board feet of one hardwood board and of a tally of boards, by the trade's rounding."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.field_types import Choice, Length, Percent, Whole
from calcs.asking.inputs import Rows, check
from calcs.kit.rounding import half_up, places
from calcs.kit.units import MOST_UNITS, UNITS_PER_INCH, check_length, inches

FOOT = 12 * UNITS_PER_INCH
MOST_BOARDS = 1000
RULES = ("NHLA", "export bundle")
MEASURED = ("after drying", "before drying")
SHRINKAGE = Percent("shrinkage in the kiln", "0", "20")
NHLA = (
    "NHLA surface measure: width with its fraction x whole feet / 12, to the nearest foot (read at pages that"
    " quote the rules); an exact half of one board up, so that an estimate is not short: our choice"
)
NHLA_TALLY = (
    "NHLA tally: surface measures of one thickness added, then x thickness, to the nearest board foot (read"
    " at a hardwood terminology page); an exact half alternately up and down (from memory)"
)
BUNDLE = (
    "export bundle tally: widths to the nearest inch, an exact half alternately up and down, part feet"
    " dropped (American Hardwood Export Council, measurement; read)"
)
BOARD_FOOT = (
    "board foot: 1 ft x 1 ft x 1 in, under 1 in counts as 1 in (US Navy Engineering Aid Basic, ch. 6; read)"
)
NET = (
    "net is measured after drying and is what may be charged for dried hardwood: US National Conference on"
    " Weights and Measures, 1977 (read in a trade magazine); shrinkage 6 to 9 %: common practice, no source"
)


@dataclass(frozen=True, kw_only=True)
class Boards:
    """So many boards alike: rough thickness, width, length [1/8 µm], count."""

    thickness_len: Annotated[int, Length("rough thickness", inches("1/4"), inches(12))]
    width_len: Annotated[int, Length("width", inches(1), inches(60))]
    length_len: Annotated[int, Length("length", inches(12), inches(480))]
    count: Annotated[int, Whole("how many", 1, MOST_BOARDS)] = 1

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
    measured : {"after drying", "before drying"}
    shrinkage_pct : Decimal
        Board feet lost in the kiln [%], where measured before drying; 8 unless told.

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
    """A row of the tally: lengths [1/8 µm], surface measure of the row [ft²], board feet.

    ``each_bf`` is None where boards alike came out differently, by an exact half.
    """

    thickness_len: int
    width_len: int
    length_len: int
    count: int
    surface_ft2: Decimal
    each_bf: Decimal | None
    all_bf: Decimal


@dataclass(frozen=True, kw_only=True)
class Tally:
    """Board feet of the boards: ``sum_bf`` to 0.01, ``total_bf`` whole, each thickness rounded by itself.

    ``net_bf`` is after drying; ``gross_bf`` before it, None where the boards were measured after.
    """

    rows: tuple[Tallied, ...]
    boards: int
    sum_bf: Decimal
    total_bf: Decimal
    net_bf: Decimal
    gross_bf: Decimal | None
    notes: tuple[str, ...]
    source: tuple[str, ...]


def surface_measure(*, width_len: int, length_len: int) -> int:
    """Surface measure of one hardwood board [ft²], whole feet.

    Parameters
    ----------
    width_len, length_len : int
        Width with its fraction; length, of which part feet are dropped [1/8 µm].

    Notes
    -----
    An exact half goes alternately up and down on a tally (from memory), see `tally`; one board alone goes up
    here, so that an estimate is not short.

    References
    ----------
    .. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.
    """
    check_length(width_len, "width_len", least=1, most=MOST_UNITS)
    check_length(length_len, "length_len", least=1, most=MOST_UNITS)
    return half_up(_surface(width_len, length_len))


def board_feet(*, thickness_len: int, width_len: int, length_len: int) -> Decimal:
    """Board feet of one hardwood board by the trade's rounding: surface measure x rough thickness, to 0.01.

    Sizes [1/8 µm].

    Examples
    --------
    >>> board_feet(thickness_len=inches(2), width_len=inches("25/4"), length_len=inches(96))
    Decimal('8.00')
    """
    thick = _nominal_inches(thickness_len)
    return places(surface_measure(width_len=width_len, length_len=length_len) * thick, 2)


def board_measure(*, thickness_len: int, width_len: int, length_len: int) -> Fraction:
    """Board feet without rounding: thickness [in] x width [ft] x length [ft], exact; sizes in 1/8 µm.

    References
    ----------
    .. [1] US Navy, Engineering Aid Basic, ch. 6.
    """
    return _nominal_inches(thickness_len) * Fraction(width_len, FOOT) * Fraction(length_len, FOOT)


def tally(asked: BoardTally) -> Tally:
    """Board feet of a list of boards.

    Notes
    -----
    The first exact half of a tally goes up, the next down, and so on through the whole list. A bundle tally
    does not round single boards' surface measure, only their widths.

    References
    ----------
    .. [1] American Hardwood Export Council, measurement of hardwood lumber, after the NHLA rules.

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
        thick = _nominal_inches(row.thickness_len)
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
    feet = row.length_len // FOOT
    bundle = rule == "export bundle"
    one = Fraction(row.width_len, UNITS_PER_INCH) if bundle else _surface(row.width_len, row.length_len)
    share = Fraction(feet, 12) if bundle else Fraction(1)
    if one.denominator != 2:
        return _Measured(half_up(one) * row.count * share, True, goes_up)
    ups = (row.count + goes_up) // 2
    after = goes_up if row.count % 2 == 0 else not goes_up
    return _Measured((int(one) * row.count + ups) * share, row.count == 1, after)


def _row(row: Boards, found: _Measured) -> Tallied:
    thick = _nominal_inches(row.thickness_len)
    return Tallied(
        thickness_len=row.thickness_len,
        width_len=row.width_len,
        length_len=row.length_len,
        count=row.count,
        surface_ft2=places(found.surface, 2),
        each_bf=places(found.surface * thick / row.count, 2) if found.alike else None,
        all_bf=places(found.surface * thick, 2),
    )


def _surface(width_len: int, length_len: int) -> Fraction:
    return Fraction(width_len * (length_len // FOOT), FOOT)


def _nominal_inches(thickness_len: int) -> Fraction:
    check_length(thickness_len, "thickness_len", least=1, most=MOST_UNITS)
    return max(Fraction(thickness_len, UNITS_PER_INCH), Fraction(1))
