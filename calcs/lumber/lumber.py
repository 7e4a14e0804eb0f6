"""The rough lumber edge-glued tops need, the boards to buy for it, and whether boards at hand are enough."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import places, up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.at_hand import NOTHING_AT_HAND, held_against
from calcs.lumber.board_footage import (
    BOARD_FOOT,
    FOOT,
    NHLA,
    BoardTally,
    Tally,
    board_feet,
    board_measure,
)
from calcs.lumber.boards import ON_OFFER, Bought, Wanted, bought_words
from calcs.lumber.lumber_inputs import GRADES, WASTE_PCT, TopLumber
from calcs.lumber.quarters import (
    PRACTICE,
    SURFACED,
    Quarters,
    quarters_above,
    quarters_for,
    quarters_named,
)
from calcs.tables import cite


@dataclass(frozen=True, kw_only=True)
class LumberNeed:
    """Lumber for the tops: lengths [1/8 µm], board feet to 0.01, waste [%], cost to 0.01.

    ``net_bf`` is the finished outline in rough thickness; ``gross_bf`` adds trim, joint and kerf allowance
    and waste; ``buy_bf`` is the tally of the whole boards to buy, ``to_buy``. ``spare_len`` is the thickness
    left for flattening once the boards are surfaced. ``tally`` is of the boards at hand; ``strips_at_hand``,
    ``width_at_hand_len`` (those strips side by side), ``missing_len`` (of the width of all tops) and
    ``missing_bf`` count the boards that are thick and long enough; all None without any.
    """

    quarters: str
    rough_len: int
    surfaced_len: int
    spare_len: int
    blank_len: int
    strips: int
    boards: int
    to_buy: tuple[Bought, ...]
    net_bf: Decimal
    gross_bf: Decimal
    buy_bf: Decimal
    waste_pct: Decimal
    cost: Decimal | None
    tally: Tally | None
    strips_at_hand: int | None
    width_at_hand_len: int | None
    missing_len: int | None
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
    A strip takes its width plus joint allowance and kerf from a board, and its length plus trim. A board to
    buy gives as many whole strips as go along and across it, but no more than its board feet are worth with
    waste. Boards at hand count by the strips that their measured sizes give: of a panel only the sum of the
    widths counts.
    """
    stock = _stock(top)
    blank_len = top.length_len + top.trim_len
    strip_len = top.strip_len or top.board_width_len - _lost(top)
    lengths = _lengths(top, blank_len, strip_len)
    per_top = up(Fraction(top.width_len, strip_len))
    net = top.quantity * _measure(stock, top.width_len, top.length_len)
    with_allowances = top.quantity * _measure(stock, top.width_len + per_top * _lost(top), blank_len)
    wanted = Wanted(
        blank_len=blank_len,
        strip_len=top.strip_len,
        lost_len=_lost(top),
        width_len=top.width_len,
        quantity=top.quantity,
        strips=per_top * top.quantity,
        rough_len=stock.rough_len,
        gross_bf=with_allowances * (1 + Fraction(_waste(top)) / 100),
    )
    to_buy = wanted.buy(top.board_width_len, lengths)
    buy = places(wanted.feet(to_buy), 2)
    at_hand = held_against(_tallied(top), wanted) if top.boards else NOTHING_AT_HAND
    counted = at_hand.tally
    return LumberNeed(
        quarters=stock.quarters,
        rough_len=stock.rough_len,
        surfaced_len=stock.surfaced_len,
        spare_len=stock.surfaced_len - top.thickness_len,
        blank_len=blank_len,
        strips=wanted.strips,
        boards=sum(row.count for row in to_buy),
        to_buy=to_buy,
        net_bf=places(net, 2),
        gross_bf=places(wanted.gross_bf, 2),
        buy_bf=buy,
        waste_pct=_waste(top),
        cost=None if top.price_per_bf is None else places(top.price_per_bf * buy, 2),
        tally=replace(counted, notes=(), source=()) if counted else None,
        strips_at_hand=at_hand.strips,
        width_at_hand_len=at_hand.width_len,
        missing_len=at_hand.missing_len,
        missing_bf=at_hand.missing_bf,
        to_do=SURFACED[top.surfaced],
        warnings=_warnings(top, stock),
        notes=(
            *stock.notes,
            *_notes(top, stock),
            *_on_buying(top, wanted, to_buy),
            *at_hand.notes,
            *(counted.notes if counted else ()),
        ),
        source=_all_sources(top, stock, counted),
    )


def _stock(top: TopLumber) -> Quarters:
    if top.quarters is None:
        return quarters_for(top.thickness_len, length_len=top.length_len)
    return quarters_named(top.quarters, thickness_len=top.thickness_len, length_len=top.length_len)


def _lost(top: TopLumber) -> int:
    return top.joint_allowance_len + top.kerf_len


def _tallied(top: TopLumber) -> BoardTally:
    return BoardTally(
        boards=top.boards, rule=top.rule, measured=top.measured, shrinkage_pct=top.shrinkage_pct
    )


def _waste(top: TopLumber) -> Decimal:
    if top.waste_pct is not None:
        return top.waste_pct
    return Decimal(GRADES[top.grade]["waste_pct"]) if top.grade else WASTE_PCT


def _lengths(top: TopLumber, blank_len: int, strip_len: int) -> tuple[int, ...]:
    """Lengths of boards to choose from: the one told, else those on offer that hold a strip."""
    told = (top.board_length_len,) if top.board_length_len is not None else ()
    long = [length for length in told or ON_OFFER if length >= blank_len]
    if told and not long:
        raise _short("board_length", told[0], blank_len)
    if top.board_width_len < strip_len + _lost(top):
        raise _short("board_width", top.board_width_len, strip_len + _lost(top))
    lengths = tuple(long or [up(Fraction(blank_len, FOOT)) * FOOT])
    one_inch = board_feet(thickness_len=inches(1), width_len=top.board_width_len, length_len=lengths[0])
    if one_inch == 0:
        raise _short("board_width", top.board_width_len, inches(12))
    return lengths


def _on_buying(top: TopLumber, wanted: Wanted, to_buy: tuple[Bought, ...]) -> tuple[str, ...]:
    """What else would be less, and where the waste is when it buys no more boards."""
    notes = []
    if top.board_length_len is not None and wanted.blank_len <= ON_OFFER[-1]:
        others = [length for length in ON_OFFER if length >= wanted.blank_len]
        better = wanted.buy(top.board_width_len, others)
        if wanted.feet(better) < wanted.feet(to_buy):
            notes.append(f"{bought_words(better)} would do: {_bf(wanted.feet(better))} board feet")
    waste = Fraction(_waste(top)) / 100
    bare = replace(wanted, gross_bf=wanted.gross_bf / (1 + waste))
    lengths = _lengths(top, wanted.blank_len, wanted.strip_len or top.board_width_len - wanted.lost_len)
    if waste and wanted.feet(bare.buy(top.board_width_len, lengths)) == wanted.feet(to_buy):
        notes.append(f"{_waste(top).normalize():f} % for waste comes out of what the boards have over")
    return tuple(notes)


def _bf(feet: Fraction) -> str:
    return f"{places(feet, 2).normalize():f}"


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
    return tuple(notes)


def _sources(top: TopLumber) -> tuple[str, ...]:
    practice = f"trim, joint allowance, kerf, waste and what surfacing leaves to do: {PRACTICE}"
    if top.grade is None:
        return (practice,)
    row = GRADES[top.grade]
    return (practice, f"clear yield of the grade: {cite(row['source'], row['provenance'])}")


def _all_sources(top: TopLumber, stock: Quarters, counted: Tally | None) -> tuple[str, ...]:
    tallied = counted.source if counted else ()
    return tuple(dict.fromkeys((*stock.source, NHLA, BOARD_FOOT, *_sources(top), *tallied)))


def _short(field: str, value: int, least: int) -> OutOfRange:
    return out_of_range(field, both_units(value), f"at least {both_units(least)}")


def _measure(stock: Quarters, width_len: int, length_len: int) -> Fraction:
    return board_measure(thickness_len=stock.rough_len, width_len=width_len, length_len=length_len)
