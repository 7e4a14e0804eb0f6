"""Rough lumber that edge-glued tops need, boards to buy for it, and the shortfall of boards at hand.

The need is counted twice: in strips, as boards are cut, and in board feet with waste, as boards have faults.
The larger need decides. Allowances are common practice, no source.

References
----------
.. [1] NHLA, standard thickness of surfaced hardwood lumber; ``calcs/tables/lumber.csv``.
.. [2] American Hardwood Export Council, technical guide, 2004: clear yield of grades;
   ``calcs/tables/grades.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import places
from calcs.kit.units import both_units
from calcs.lumber.at_hand import AtHand, held_against
from calcs.lumber.board_footage import BOARD_FOOT, FOOT, NHLA, board_measure
from calcs.lumber.board_tally import Tally
from calcs.lumber.boards import Bought, bought_words, together
from calcs.lumber.ends import ENDS
from calcs.lumber.lumber_choice import check_boards, tallied, usable_of, wanted_ends, wanted_panel
from calcs.lumber.lumber_inputs import GRADES, WASTE_PCT, TopLumber
from calcs.lumber.quarters import SURFACED
from calcs.lumber.random_widths import HandStrip
from calcs.lumber.thickness import Stock, stock_of, thinner_words
from calcs.lumber.wanted import ON_OFFER, Wanted
from calcs.tables import PRACTICE, cite

ONE_EDGE = "surfaced on three sides leaves one edge to true"


@dataclass(frozen=True, kw_only=True)
class LumberNeed:
    """Lumber for the tops.

    Attributes
    ----------
    quarters : str
        Rough thickness such as "8/4".
    rough_len, surfaced_len, spare_len : int
        Its thickness rough and surfaced, and what a flat strip has over the finished thickness [1/8 µm].
    flattening_len, finished_len, thinner_len : int
        What flattening takes, the finished thickness to expect, and what is missing of the one asked for
        [1/8 µm].
    hand_len : int
        Least thickness of a rough board at hand that does [1/8 µm].
    blank_len : int
        Length of a strip with trim [1/8 µm].
    strips, boards : int
        Strips of all tops, boards to buy.
    to_buy : tuple of Bought
        Whole boards to buy.
    net_bf : Decimal
        Finished outline in rough thickness, to 0.01 [board ft].
    gross_bf : Decimal
        The same with trim, joint and kerf allowance and waste, to 0.01 [board ft].
    buy_bf : Decimal
        Tally of the whole boards to buy, to 0.01 [board ft].
    usable_pct, waste_pct : Decimal
        Usable share of the boards, to 0.01, and the waste added for it [%].
    cost : Decimal or None
        Price of the boards to buy and of those at hand that are used as wide as they are, to 0.01 [the shop's
        currency].
    tally : Tally or None
        Tally of the boards at hand; None, as all below, without any.
    strips_at_hand, width_at_hand_len, missing_len, missing_bf
        Boards at hand that are thick and long enough: their strips, these side by side, width missing of all
        tops [1/8 µm] and board feet of the whole boards still to buy.
    still_to_buy : tuple of Bought
        These boards.
    hand_strips : tuple of HandStrip
        Strips from boards that are used as wide as they are, in their order across the top.
    hand_bf : Decimal or None
        Board feet of those boards; None where strips are alike.
    to_do : tuple of str
        Work that the surfacing leaves.
    warnings, notes, source : tuple of str
        Sentences for the maker, and the sources.
    """

    quarters: Annotated[str, Figure("Rough thickness")]
    rough_len: Annotated[int, Figure("Rough")]
    surfaced_len: Annotated[int, Figure("Surfaces to")]
    spare_len: Annotated[int, Figure("To spare in thickness")]
    flattening_len: Annotated[int, Figure("Flattening takes")]
    finished_len: Annotated[int, Figure("Finished thickness to expect")]
    thinner_len: Annotated[int, Figure("Thinner than asked by", quiet=True)]
    hand_len: Annotated[int, Figure("Boards at hand, at least")]
    blank_len: Annotated[int, Figure("Length of a strip, rough")]
    strips: Annotated[int, Figure("Strips")]
    boards: Annotated[int, Figure("Boards to buy")]
    to_buy: Annotated[tuple[Bought, ...], Figure("Boards to buy")]
    net_bf: Annotated[Decimal, Figure("Net")]
    gross_bf: Annotated[Decimal, Figure("Gross, with waste")]
    buy_bf: Annotated[Decimal, Figure("To buy")]
    usable_pct: Annotated[Decimal, Figure("Usable share of the boards")]
    waste_pct: Annotated[Decimal, Figure("Waste")]
    cost: Annotated[Decimal | None, Figure("Cost of the lumber", money=True)]
    tally: Tally | None
    strips_at_hand: Annotated[int | None, Figure("Strips in the boards at hand")]
    width_at_hand_len: Annotated[int | None, Figure("Those strips side by side")]
    missing_len: Annotated[int | None, Figure("Width still missing")]
    missing_bf: Annotated[Decimal | None, Figure("Still to buy")]
    still_to_buy: Annotated[tuple[Bought, ...], Figure("Boards still to buy")]
    hand_strips: Annotated[tuple[HandStrip, ...], Figure("Strips from the boards at hand")]
    hand_bf: Annotated[Decimal | None, Figure("From boards at hand")]
    to_do: Annotated[tuple[str, ...], Figure("To do", sentence=True)]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]


def top_lumber(top: TopLumber) -> LumberNeed:
    """Return the boards to buy for edge-glued tops, in board feet and money.

    Parameters
    ----------
    top : TopLumber
        Finished size, boards on offer, allowances [1/8 µm], waste [%] and price.

    Returns
    -------
    LumberNeed

    Raises
    ------
    OutOfRange
        If the boards on offer are too short, too narrow, or too thin.

    Notes
    -----
    A strip takes its width plus joint allowance and kerf from a board, and its length plus trim. Breadboard
    ends are two strips more for each top, as long as it is wide plus trim; their boards are bought for them.
    Gross = tops x thickness x (width + strips x allowance) x blank length / usable share, in board feet.
    A board to buy gives as many whole strips as go along and across it, but no more than its board feet are
    worth with waste. The rough thickness leaves what flattening takes, see `calcs.lumber.thickness`.
    Boards at hand count by the strips that their measured sizes give: of a panel only the sum of the widths
    counts. Where they are used as wide as they are, boards are bought for what is missing alone.

    References
    ----------
    .. [1] NHLA, standard thickness and surface measure; ``calcs/tables/lumber.csv``.
    .. [2] American Hardwood Export Council, technical guide, 2004: clear yield of grades;
       ``calcs/tables/grades.csv``.
    """
    stock = stock_of(top)
    thick = {"rough_len": stock.quarters.rough_len, "hand_len": stock.hand_len}
    wanted, ends = wanted_panel(top, **thick), wanted_ends(top, **thick)
    check_boards(wanted)
    if ends:
        check_boards(ends)
    for_ends = ends.buy() if ends else ()
    at_hand = held_against(tallied(top), wanted) if top.boards else AtHand(still=wanted)
    whole, still = (together(plan.buy(), for_ends) for plan in (wanted, at_hand.still))
    to_buy = still if top.random_widths else whole
    buy, feet_at_hand = places(wanted.feet(to_buy), 2), at_hand.feet or Decimal(0)
    counted = at_hand.tally
    finished = {"thickness_len": stock.quarters.rough_len, "width_len": top.width_len}
    return LumberNeed(
        quarters=stock.quarters.quarters,
        rough_len=stock.quarters.rough_len,
        surfaced_len=stock.quarters.surfaced_len,
        spare_len=stock.flat_len - top.thickness_len,
        flattening_len=stock.takes_len,
        finished_len=stock.finished_len,
        thinner_len=stock.thinner_len,
        hand_len=stock.hand_len,
        blank_len=wanted.blank_len,
        strips=wanted.strips,
        boards=sum(row.count for row in to_buy),
        to_buy=to_buy,
        net_bf=places(top.quantity * board_measure(**finished, length_len=top.length_len), 2),
        gross_bf=places(wanted.gross_bf + (ends.gross_bf if ends else 0), 2),
        buy_bf=buy,
        usable_pct=places(100 * usable_of(top), 2),
        waste_pct=waste_pct_of(top),
        cost=None if top.price_per_bf is None else places(top.price_per_bf * (buy + feet_at_hand), 2),
        tally=replace(counted, notes=(), source=()) if counted else None,
        strips_at_hand=at_hand.strips,
        width_at_hand_len=at_hand.width_len,
        missing_len=at_hand.missing_len,
        missing_bf=places(wanted.feet(still), 2) if counted else None,
        still_to_buy=still if counted else (),
        hand_strips=at_hand.laid,
        hand_bf=at_hand.feet,
        to_do=SURFACED[top.surfaced],
        warnings=(*thinner_words(top, stock), *at_hand.warnings),
        notes=(
            ONE_EDGE,
            *_on_grade(top, wanted.blank_len),
            *(() if top.random_widths else _on_buying(top, wanted)),
            *_on_ends(top),
            *at_hand.notes,
            *(counted.notes if counted else ()),
        ),
        source=_all_sources(top, stock, counted),
    )


def waste_pct_of(top: TopLumber) -> Decimal:
    """Return the waste to add for the usable share of the boards [%]: as told, else to 0.01."""
    if top.waste_pct is not None:
        return top.waste_pct
    if top.grade is None:
        return WASTE_PCT
    return places(100 * (1 / usable_of(top) - 1), 2)


def _on_buying(top: TopLumber, wanted: Wanted) -> tuple[str, ...]:
    """Return notes on cheaper lengths, and on waste that the boards have over in any case.

    Parameters
    ----------
    top : TopLumber
        Boards on offer, and waste [%].
    wanted : Wanted
        Strips of the tops.

    Notes
    -----
    Other lengths are named where they take fewer board feet. Waste is said to be free where the plan without
    it takes as many board feet.
    """
    notes = []
    planned = wanted.feet(wanted.buy())
    if top.board_length_len is not None and wanted.blank_len <= ON_OFFER[-1]:
        better = replace(wanted, board_length_len=None).buy()
        if wanted.feet(better) < planned:
            notes.append(f"{bought_words(better)} would do: {_bf(wanted.feet(better))} board feet")
    waste = waste_pct_of(top)
    bare = replace(wanted, gross_bf=wanted.gross_bf * usable_of(top))
    if waste and wanted.feet(bare.buy()) == planned:
        notes.append(f"{waste.normalize():f} % for waste comes out of what the boards have over")
    return tuple(notes)


def _on_ends(top: TopLumber) -> tuple[str, ...]:
    """Return the note that breadboard ends are among the boards to buy, and what boards at hand leave out."""
    if not top.end_wide_len:
        return ()
    told = f"{ENDS * top.quantity} breadboard ends {both_units(top.end_wide_len)} wide are among the boards"
    return (told, "boards at hand are not counted for the ends") if top.boards else (told,)


def _bf(feet: Fraction) -> str:
    """Return board feet as text, without needless zeros."""
    return f"{places(feet, 2).normalize():f}"


def _on_grade(top: TopLumber, blank_len: int) -> tuple[str, ...]:
    """Return the notes on what a grade promises, and on strips longer than its clear cuttings.

    Parameters
    ----------
    top : TopLumber
        Grade of the boards.
    blank_len : int
        Length of a strip [1/8 µm].
    """
    if not top.grade:
        return ()
    row = GRADES[top.grade]
    told = (
        f"{top.grade}: the least board is {row['least_board']}, {row['clear_twelfths']}/12 clear on the"
        f" {row['face']}, in cuttings of {row['cuttings']} and more"
    )
    if blank_len <= int(row["longest_cutting_ft"]) * FOOT:
        return (told,)
    strip = both_units(blank_len)
    return (told, f"a strip of {strip} is longer than the cuttings that are clear: expect knots, or buy more")


def _sources(top: TopLumber) -> tuple[str, ...]:
    """Return the sources of allowances and of the grade's yield."""
    practice = f"trim, joint allowance, kerf, waste and what surfacing leaves to do: {PRACTICE}"
    if top.grade is None:
        return (practice,)
    row = GRADES[top.grade]
    return (practice, f"clear yield of the grade: {cite(row['source'], row['provenance'])}")


def _all_sources(top: TopLumber, stock: Stock, counted: Tally | None) -> tuple[str, ...]:
    """Return all sources once each."""
    tallied = counted.source if counted else ()
    return tuple(dict.fromkeys((*stock.source, NHLA, BOARD_FOOT, *_sources(top), *tallied)))
