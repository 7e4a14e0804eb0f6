"""Rough thickness, board lengths, waste and allowances by which the lumber of a top is counted.

Notes
-----
Common practice, no source:

=====================================  ========
waste without a grade                  25 %
lost to straight edges of a strip      3/16 in
lost to the rip cut                    1/8 in
extra length of a strip                2 in
=====================================  ========
"""

from __future__ import annotations

from fractions import Fraction

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.board_footage import FOOT, board_feet, board_measure
from calcs.lumber.board_tally import BoardTally
from calcs.lumber.boards import ON_OFFER, Bought, Wanted
from calcs.lumber.ends import ENDS
from calcs.lumber.lumber_inputs import GRADES, WASTE_PCT, TopLumber
from calcs.lumber.quarters import Quarters
from calcs.lumber.thickness import Stock


def lost_len(top: TopLumber) -> int:
    """Return the width lost on each strip to straight edges and the rip cut [1/8 µm]."""
    return top.joint_allowance_len + top.kerf_len


def tallied(top: TopLumber) -> BoardTally:
    """Return the boards at hand as a tally is asked for them."""
    return BoardTally(
        boards=top.boards, rule=top.rule, measured=top.measured, shrinkage_pct=top.shrinkage_pct
    )


def usable_of(top: TopLumber) -> Fraction:
    """Return the usable share of the boards bought, from 0 to 1.

    Parameters
    ----------
    top : TopLumber
        Waste told [%], or grade.

    Notes
    -----
    1 / (1 + waste) of the waste told; else the clear share that the grade promises; else that of 25 % waste.

    References
    ----------
    .. [1] American Hardwood Export Council, technical guide, 2004: clear yield of grades;
       ``calcs/tables/grades.csv``.
    """
    if top.waste_pct is None and top.grade:
        return Fraction(int(GRADES[top.grade]["clear_twelfths"]), 12)
    told = WASTE_PCT if top.waste_pct is None else top.waste_pct
    return 1 / (1 + Fraction(told) / 100)


def lengths_of(top: TopLumber, blank_len: int, strip_len: int) -> tuple[int, ...]:
    """Return the lengths of boards to choose from [1/8 µm]: the one given, else those on offer that hold a
    strip.

    Parameters
    ----------
    top : TopLumber
        Boards on offer.
    blank_len, strip_len : int
        Length and width of a strip [1/8 µm].

    Raises
    ------
    OutOfRange
        If the boards are too short or too narrow for a strip, or too small to measure a foot.
    """
    told = (top.board_length_len,) if top.board_length_len is not None else ()
    long = [length for length in told or ON_OFFER if length >= blank_len]
    if told and not long:
        raise _short("board_length", told[0], blank_len)
    if top.board_width_len < strip_len + lost_len(top):
        raise _short("board_width", top.board_width_len, strip_len + lost_len(top))
    lengths = tuple(long or [up(Fraction(blank_len, FOOT)) * FOOT])
    one_inch = board_feet(thickness_len=inches(1), width_len=top.board_width_len, length_len=lengths[0])
    if one_inch == 0:
        raise _short("board_width", top.board_width_len, inches(12))
    return lengths


def _short(field: str, value: int, least: int) -> OutOfRange:
    """Return the refusal of a board that is too short or too narrow."""
    return out_of_range(field, both_units(value), f"at least {both_units(least)}")


def measure_of(stock: Quarters, width_len: int, length_len: int) -> Fraction:
    """Return the board feet of an area in the rough thickness, unrounded."""
    return board_measure(thickness_len=stock.rough_len, width_len=width_len, length_len=length_len)


def wanted_ends(top: TopLumber, stock: Stock) -> Wanted | None:
    """Return the breadboard ends of the tops as strips of their own; None without ends.

    Parameters
    ----------
    top : TopLumber
        Size of the top and width of an end [1/8 µm], waste [%].
    stock : Stock
        Boards to buy.

    Notes
    -----
    An end takes its width plus joint allowance and kerf, and the width of the top plus trim. Board feet =
    ends x thickness x (width of the end + allowance) x blank length / usable share.
    """
    if not top.end_wide_len:
        return None
    blank_len, strips = top.width_len + top.trim_len, ENDS * top.quantity
    net = strips * measure_of(stock.quarters, top.end_wide_len + lost_len(top), blank_len)
    return Wanted(
        blank_len=blank_len,
        strip_len=top.end_wide_len,
        lost_len=lost_len(top),
        width_len=ENDS * top.end_wide_len,
        quantity=top.quantity,
        strips=strips,
        rough_len=stock.quarters.rough_len,
        hand_len=stock.hand_len,
        gross_bf=net / usable_of(top),
    )


def boards_of(top: TopLumber, ends: Wanted) -> tuple[Bought, ...]:
    """Return the boards to buy for breadboard ends.

    Parameters
    ----------
    top : TopLumber
        Boards on offer.
    ends : Wanted
        The ends, as `wanted_ends` returns them.

    Raises
    ------
    OutOfRange
        If the boards are too short or too narrow for an end.
    """
    lengths = lengths_of(top, ends.blank_len, top.end_wide_len)
    return ends.buy(top.board_width_len, lengths)
