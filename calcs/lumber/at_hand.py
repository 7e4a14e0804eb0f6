"""Boards at hand, by their measured sizes, held against the strips of tops."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from calcs.kit.rounding import places
from calcs.lumber.board_tally import BoardTally, Tally, tally
from calcs.lumber.boards import Wanted


@dataclass(frozen=True, kw_only=True)
class AtHand:
    """Tally of the boards at hand, with what they give and leave missing.

    Attributes
    ----------
    tally : Tally or None
        Board feet of all boards at hand; None without any.
    strips : int or None
        Strips from the boards that are thick and long enough.
    width_len, missing_len : int or None
        Those strips side by side, and the width still missing of all tops [1/8 µm].
    missing_bf : Decimal or None
        Board feet still missing, to 0.01.
    notes : tuple of str
        Boards that are too thin or too short.
    """

    tally: Tally | None = None
    strips: int | None = None
    width_len: int | None = None
    missing_len: int | None = None
    missing_bf: Decimal | None = None
    notes: tuple[str, ...] = ()


NOTHING_AT_HAND = AtHand()


def held_against(asked: BoardTally, wanted: Wanted) -> AtHand:
    """Return the strips that boards at hand give, and the width and board feet still missing.

    Parameters
    ----------
    asked : BoardTally
        Boards at hand with their rule of measuring.
    wanted : Wanted
        Strips of the tops.

    Notes
    -----
    Missing board feet = gross board feet of the need x the share missing, see `Wanted.missing_share`.
    """
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
