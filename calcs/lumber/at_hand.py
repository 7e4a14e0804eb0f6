"""Boards at hand, by their measured sizes, held against the strips of tops."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from calcs.kit.rounding import places
from calcs.lumber.board_footage import BoardTally, Tally, tally
from calcs.lumber.boards import Wanted


@dataclass(frozen=True, kw_only=True)
class AtHand:
    """The tally of the boards at hand, and what those that are thick and long enough give and leave missing.

    Strips, their width side by side and the width missing of all tops [1/8 µm], board feet missing.
    """

    tally: Tally | None = None
    strips: int | None = None
    width_len: int | None = None
    missing_len: int | None = None
    missing_bf: Decimal | None = None
    notes: tuple[str, ...] = ()


NOTHING_AT_HAND = AtHand()


def held_against(asked: BoardTally, wanted: Wanted) -> AtHand:
    """Return what these boards give of the strips, and what is missing to 0.01 board feet."""
    usable = tuple(row for row in asked.boards if wanted.takes(row.thickness_len, row.length_len))
    strips: Counter[int] = Counter()
    for row in usable:
        strips += wanted.strips_of(row.width_len, row.length_len, row.count)
    feet = Fraction(tally(replace(asked, boards=usable)).net_bf) if usable else Fraction(0)
    unusable = len(asked.boards) - len(usable)
    return AtHand(
        tally=tally(asked),
        strips=strips.total(),
        width_len=sum(width * count for width, count in strips.items()),
        missing_len=wanted.missing_len(strips),
        missing_bf=places(wanted.gross_bf * wanted.missing_share(strips, feet), 2),
        notes=(f"rows of boards at hand too thin or too short for this top: {unusable}",) if unusable else (),
    )
