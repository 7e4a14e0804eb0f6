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

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import up
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, inches
from calcs.lumber.board_footage import board_feet, board_measure
from calcs.lumber.board_tally import BoardTally
from calcs.lumber.ends import ENDS, panel_len
from calcs.lumber.lumber_inputs import GRADES, WASTE_PCT, TopLumber
from calcs.lumber.wanted import Wanted

KEPT = (
    "length_len", "width_len", "thickness_len", "quantity", "board_width_len", "board_length_len",
    "strip_len", "trim_len", "final_trim_len", "joint_allowance_len", "kerf_len", "end_wide_len",
    "tongue_deep_len", "random_widths", "widest_len",
)  # fmt: skip
"""Inputs that say which strips are wanted."""


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


def check_boards(wanted: Wanted) -> None:
    """Refuse boards on offer that are too short or too narrow for a strip, or too small to measure a foot.

    Parameters
    ----------
    wanted : Wanted
        Strips, and the boards on offer for them [1/8 µm].

    Raises
    ------
    OutOfRange
    """
    wide, told = wanted.board_width_len, wanted.board_length_len
    if told is not None and told < wanted.blank_len:
        raise _short("board_length", told, wanted.blank_len)
    if wide < wanted.bought_strip_len + wanted.lost_len:
        raise _short("board_width", wide, wanted.bought_strip_len + wanted.lost_len)
    if board_feet(thickness_len=inches(1), width_len=wide, length_len=wanted.lengths[0]) == 0:
        raise _short("board_width", wide, inches(12))


def _short(field: str, value: int, least: int) -> OutOfRange:
    """Return the refusal of a board that is too short or too narrow."""
    return out_of_range(field, both_units(value), f"at least {both_units(least)}")


def wanted_panel(top: TopLumber, *, rough_len: int, hand_len: int) -> Wanted:
    """Return the strips of the tops.

    Parameters
    ----------
    top : TopLumber
        Size of a top, strips, boards on offer [1/8 µm], waste [%].
    rough_len, hand_len : int
        Rough thickness of boards to buy, and the least one of a board at hand [1/8 µm].

    Notes
    -----
    Board feet = tops x thickness x (width + strips x allowance) x blank length / usable share.
    """
    strip_len = top.strip_len or top.board_width_len - lost_len(top)
    width_len, blank_len = top.width_len + top.final_trim_len, panel_len(top) + top.trim_len
    per_top = up(Fraction(width_len, strip_len))
    across_len = width_len + per_top * lost_len(top)
    net = board_measure(thickness_len=rough_len, width_len=across_len, length_len=blank_len)
    return Wanted(
        blank_len=blank_len,
        strip_len=top.strip_len,
        width_len=width_len,
        strips=per_top * top.quantity,
        gross_bf=top.quantity * net / usable_of(top),
        widest_len=top.widest_len if top.random_widths else None,
        rough_len=rough_len,
        hand_len=hand_len,
        **_on_offer(top),
    )


def wanted_ends(top: TopLumber, *, rough_len: int, hand_len: int) -> Wanted | None:
    """Return the breadboard ends of the tops as strips of their own; None without ends.

    Parameters
    ----------
    top : TopLumber
        Size of the top and width of an end [1/8 µm], waste [%].
    rough_len, hand_len : int
        Rough thickness of boards to buy, and the least one of a board at hand [1/8 µm].

    Notes
    -----
    An end takes its width plus joint allowance and kerf, and the width of the top plus trim. Board feet =
    ends x thickness x (width of the end + allowance) x blank length / usable share.
    """
    if not top.end_wide_len:
        return None
    blank_len, strips = top.width_len + top.trim_len, ENDS * top.quantity
    across_len = top.end_wide_len + lost_len(top)
    net = board_measure(thickness_len=rough_len, width_len=across_len, length_len=blank_len)
    return Wanted(
        blank_len=blank_len,
        strip_len=top.end_wide_len,
        width_len=ENDS * top.end_wide_len,
        strips=strips,
        gross_bf=strips * net / usable_of(top),
        rough_len=rough_len,
        hand_len=hand_len,
        **_on_offer(top),
    )


def _on_offer(top: TopLumber) -> dict[str, Any]:
    """Return what strips and ends of the tops have in common: their number, allowances, boards on offer."""
    return {
        "quantity": top.quantity,
        "lost_len": lost_len(top),
        "board_width_len": top.board_width_len,
        "board_length_len": top.board_length_len,
    }


def kept_wanted(inputs: Mapping[str, Any], figures: Mapping[str, Any]) -> tuple[Wanted, Wanted | None]:
    """Return the strips and the breadboard ends of a kept lumber calculation.

    Parameters
    ----------
    inputs, figures : Mapping
        As they were stored; inputs that old versions lack have their defaults.
    """
    top = TopLumber(
        **{name: inputs[name] for name in KEPT if name in inputs}, waste_pct=Decimal(figures["waste_pct"])
    )
    rough_len = figures["rough_len"]
    thick = {"rough_len": rough_len, "hand_len": figures.get("hand_len", rough_len)}
    return wanted_panel(top, **thick), wanted_ends(top, **thick)
