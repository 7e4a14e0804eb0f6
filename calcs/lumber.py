"""The rough lumber edge-glued tops need, the boards to buy for it, and whether boards at hand are enough."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.errors import OutOfRange
from calcs.inputs import Rows, check
from calcs.kinds import Choice, Length, Number, Percent, Whole
from calcs.quarters import (
    NAMES,
    PRACTICE,
    SURFACED,
    Quarters,
    quarters_above,
    quarters_for,
    quarters_named,
)
from calcs.rounding import places, up
from calcs.tables import rows, told
from calcs.tally import (
    BOARD_FOOT,
    MEASURED,
    NHLA,
    RULES,
    SHRINKAGE,
    Boards,
    BoardTally,
    Tally,
    board_feet,
    board_measure,
    tally,
)
from calcs.typed import out_of_range
from calcs.units import both_units, inches

GRADES = {row["grade"]: row for row in rows("grades")}
WASTE_PCT = Decimal(25)
"""Added for waste where no grade is told; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class TopLumber:
    """What the lumber for edge-glued tops is worked out from.

    Parameters
    ----------
    length_len, width_len, thickness_len : int
        Finished size [1/8 µm].
    quantity : int
        Tops alike.
    quarters : str, optional
        Rough thickness to use; else the thinnest that surfaces to the finished thickness.
    board_width_len, board_length_len : int
        Usual board on offer: average width and length [1/8 µm].
    strip_len : int, optional
        Width of a finished strip [1/8 µm]; else each board is one strip, as wide as it gives.
    trim_len : int
        Extra length of every strip, squared after the glue-up [1/8 µm]; 2 in unless told.
    joint_allowance_len, kerf_len : int
        Width lost on each strip to straight edges and to the rip cut [1/8 µm]; 3/16 and 1/8 in.
    grade : {"FAS", "select", "no. 1 common", "no. 2A common"}, optional
        Sets the waste where none is told.
    waste_pct : Decimal, optional
        For knots, checks and sapwood, added to the lumber needed [%]; else the grade's usual, else 25.
    surfaced : {"rough", "S2S", "S3S"}
        How the boards are bought.
    price_per_bf : Decimal, optional
        Price of a board foot [the shop's currency].
    boards : tuple of Boards
        Boards at hand, to be tallied and held against the need.
    rule, measured, shrinkage_pct
        How they are tallied, see `calcs.tally.BoardTally`.

    Raises
    ------
    Unreadable, OutOfRange, Unknown
    """

    length_len: Annotated[int, Length("finished length", inches(1), inches(480))]
    width_len: Annotated[int, Length("finished width", inches(1), inches(240))]
    thickness_len: Annotated[int, Length("finished thickness", inches("1/8"), inches(12))]
    quantity: Annotated[int, Whole("how many", 1, 1000)] = 1
    quarters: Annotated[str | None, Choice("rough thickness", NAMES)] = None
    board_width_len: Annotated[int, Length("average width of the boards on offer", inches(2), inches(60))]
    board_length_len: Annotated[int, Length("average length of the boards on offer", inches(12), inches(480))]
    strip_len: Annotated[int | None, Length("width of a finished strip", inches("1/2"), inches(60))] = None
    trim_len: Annotated[int, Length("extra length of every strip", 0, inches(24))] = inches(2)
    joint_allowance_len: Annotated[int, Length("width lost to straight edges", 0, inches(1))] = inches("3/16")
    kerf_len: Annotated[int, Length("width lost to the rip cut", 0, inches("1/2"))] = inches("1/8")
    grade: Annotated[str | None, Choice("grade", tuple(GRADES))] = None
    waste_pct: Annotated[Decimal | None, Percent("added for waste", "0", "200")] = None
    surfaced: Annotated[str, Choice("how the boards are bought", tuple(SURFACED))] = "S3S"
    price_per_bf: Annotated[Decimal | None, Number("price of a board foot", "0", "100000")] = None
    boards: Annotated[tuple[Boards, ...], Rows("boards at hand", of=Boards, most=200)] = ()
    rule: Annotated[str, Choice("rule of measuring them", RULES)] = "NHLA"
    measured: Annotated[str, Choice("when they were measured", MEASURED)] = "after drying"
    shrinkage_pct: Annotated[Decimal, SHRINKAGE] = Decimal(8)

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True, kw_only=True)
class LumberNeed:
    """Lumber for the tops: lengths [1/8 µm], board feet to 0.01, waste [%], cost to 0.01.

    ``net_bf`` is the finished outline in rough thickness; ``gross_bf`` adds trim, joint and kerf allowance
    and waste; ``buy_bf`` is the tally of the whole boards to buy. ``spare_len`` is the thickness left for
    flattening once the boards are surfaced. ``tally`` is of the boards at hand, ``strips_at_hand`` and
    ``missing_bf`` count those of them that are thick and long enough; all None without any.
    """

    quarters: str
    rough_len: int
    surfaced_len: int
    spare_len: int
    blank_len: int
    strips: int
    boards: int
    net_bf: Decimal
    gross_bf: Decimal
    buy_bf: Decimal
    waste_pct: Decimal
    cost: Decimal | None
    tally: Tally | None
    strips_at_hand: int | None
    missing_bf: Decimal | None
    to_do: tuple[str, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def top_lumber(top: TopLumber) -> LumberNeed:
    """Boards to buy for edge-glued tops, in board feet and money.

    Returns
    -------
    LumberNeed

    Raises
    ------
    OutOfRange
        If the boards on offer are too short, too narrow, or too thin.

    Notes
    -----
    A strip takes its width plus joint allowance and kerf from a board, and its length plus trim. Boards
    are counted twice, by whole strips and by gross board feet, and the larger count is bought.
    """
    stock = _stock(top)
    blank_len = top.length_len + top.trim_len
    strip_len = top.strip_len or top.board_width_len - _lost(top)
    per_board = _strips_per_board(top, blank_len, strip_len)
    per_top = up(Fraction(top.width_len, strip_len))
    strips = per_top * top.quantity
    net = top.quantity * _measure(stock, top.width_len, top.length_len)
    with_allowances = top.quantity * _measure(stock, top.width_len + per_top * _lost(top), blank_len)
    gross = with_allowances * (1 + Fraction(_waste(top)) / 100)
    each = board_feet(
        thickness_len=stock.rough_len, width_len=top.board_width_len, length_len=top.board_length_len
    )
    boards = max(up(Fraction(strips, per_board)), up(gross / Fraction(each)))
    buy = each * boards
    at_hand = _at_hand(top, stock, blank_len, strip_len, gross)
    counted = at_hand.tally
    return LumberNeed(
        quarters=stock.quarters,
        rough_len=stock.rough_len,
        surfaced_len=stock.surfaced_len,
        spare_len=stock.surfaced_len - top.thickness_len,
        blank_len=blank_len,
        strips=strips,
        boards=boards,
        net_bf=places(net, 2),
        gross_bf=places(gross, 2),
        buy_bf=buy,
        waste_pct=_waste(top),
        cost=None if top.price_per_bf is None else places(top.price_per_bf * buy, 2),
        tally=replace(counted, notes=(), source=()) if counted else None,
        strips_at_hand=at_hand.strips,
        missing_bf=at_hand.missing_bf,
        to_do=SURFACED[top.surfaced],
        warnings=_warnings(top, stock),
        notes=(*stock.notes, *_notes(top, stock), *(counted.notes if counted else ())),
        source=_all_sources(top, stock, counted),
    )


@dataclass(frozen=True)
class _AtHand:
    """The boards at hand: their tally, strips in those thick and long enough, board feet missing."""

    tally: Tally | None = None
    strips: int | None = None
    missing_bf: Decimal | None = None


def _at_hand(top: TopLumber, stock: Quarters, blank_len: int, strip_len: int, gross: Fraction) -> _AtHand:
    if not top.boards:
        return _AtHand()
    usable = _usable(top, stock, blank_len)
    return _AtHand(
        tally=_tally(top, top.boards),
        strips=_strips_in(top, usable, blank_len, strip_len),
        missing_bf=_missing(top, usable, gross),
    )


def _stock(top: TopLumber) -> Quarters:
    if top.quarters is None:
        return quarters_for(top.thickness_len, length_len=top.length_len)
    return quarters_named(top.quarters, thickness_len=top.thickness_len, length_len=top.length_len)


def _lost(top: TopLumber) -> int:
    return top.joint_allowance_len + top.kerf_len


def _waste(top: TopLumber) -> Decimal:
    if top.waste_pct is not None:
        return top.waste_pct
    return Decimal(GRADES[top.grade]["waste_pct"]) if top.grade else WASTE_PCT


def _strips_per_board(top: TopLumber, blank_len: int, strip_len: int) -> int:
    along = top.board_length_len // blank_len
    if along < 1:
        raise _short("board_length", top.board_length_len, blank_len)
    across = top.board_width_len // (strip_len + _lost(top))
    if across < 1:
        raise _short("board_width", top.board_width_len, strip_len + _lost(top))
    one_inch = board_feet(
        thickness_len=inches(1), width_len=top.board_width_len, length_len=top.board_length_len
    )
    if one_inch == 0:
        raise _short("board_width", top.board_width_len, inches(12))
    return along * across


def _usable(top: TopLumber, stock: Quarters, blank_len: int) -> tuple[Boards, ...]:
    return tuple(
        row for row in top.boards if row.thickness_len >= stock.rough_len and row.length_len >= blank_len
    )


def _strips_in(top: TopLumber, usable: tuple[Boards, ...], blank_len: int, strip_len: int) -> int:
    """Whole strips of the wanted width; where none is told, each board is as many as its length gives."""
    taken = strip_len + _lost(top) if top.strip_len is not None else None
    return sum(
        row.count * (row.length_len // blank_len) * (row.width_len // taken if taken else 1) for row in usable
    )


def _tally(top: TopLumber, boards: tuple[Boards, ...]) -> Tally:
    return tally(
        BoardTally(boards=boards, rule=top.rule, measured=top.measured, shrinkage_pct=top.shrinkage_pct)
    )


def _missing(top: TopLumber, usable: tuple[Boards, ...], gross: Fraction) -> Decimal:
    at_hand = _tally(top, usable).net_bf if usable else Decimal(0)
    return places(max(Fraction(0), gross - Fraction(at_hand)), 2)


def _warnings(top: TopLumber, stock: Quarters) -> tuple[str, ...]:
    """Say that surfaced boards are no thicker than the top, and what to buy instead."""
    if top.surfaced == "rough" or stock.surfaced_len > top.thickness_len:
        return ()
    thicker = quarters_above(top.thickness_len)
    instead = f"Buy {thicker.quarters}, or rough" if thicker else "Buy rough"
    surfaced = f"surfaced {stock.quarters} is {both_units(stock.surfaced_len)}, the finished thickness"
    return (f"{surfaced}: nothing is left to flatten. {instead} {stock.quarters} and flatten it yourself",)


def _notes(top: TopLumber, stock: Quarters) -> tuple[str, ...]:
    notes = []
    if top.grade:
        row = GRADES[top.grade]
        worst = places(100 * (Fraction(12, int(row["clear_twelfths"])) - 1), 0)
        notes.append(
            f"{top.grade}: the least board is {row['least_board']}, {row['clear_twelfths']}/12 clear on the"
            f" {row['face']}; from such boards alone {worst} % would have to be added"
        )
    unusable = len(top.boards) - len(_usable(top, stock, top.length_len + top.trim_len))
    if unusable:
        notes.append(f"rows of boards at hand too thin or too short for this top: {unusable}")
    return tuple(notes)


def _sources(top: TopLumber) -> tuple[str, ...]:
    practice = f"trim, joint allowance, kerf, waste and what surfacing leaves to do: {PRACTICE}"
    if top.grade is None:
        return (practice,)
    row = GRADES[top.grade]
    return (practice, f"clear yield of the grade: {told(row['source'], row['provenance'])}")


def _all_sources(top: TopLumber, stock: Quarters, counted: Tally | None) -> tuple[str, ...]:
    tallied = counted.source if counted else ()
    return tuple(dict.fromkeys((*stock.source, NHLA, BOARD_FOOT, *_sources(top), *tallied)))


def _short(field: str, value: int, least: int) -> OutOfRange:
    return out_of_range(field, both_units(value), f"at least {both_units(least)}")


def _measure(stock: Quarters, width_len: int, length_len: int) -> Fraction:
    return board_measure(thickness_len=stock.rough_len, width_len=width_len, length_len=length_len)
