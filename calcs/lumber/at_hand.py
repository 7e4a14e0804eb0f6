"""Boards at hand, by their measured sizes, held against the strips of tops."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from calcs.kit.units import both_units
from calcs.lumber.board_tally import BoardTally, Tally, tally
from calcs.lumber.boards import bought_words
from calcs.lumber.random_widths import HandStrip, feet_of, hand_strips
from calcs.lumber.wanted import Wanted


@dataclass(frozen=True, kw_only=True)
class AtHand:
    """Tally of the boards at hand, with what they give and leave missing.

    Attributes
    ----------
    still : Wanted
        Strips still wanted beside those of the boards at hand.
    tally : Tally or None
        Board feet of all boards at hand; None without any.
    strips : int or None
        Strips from the boards that are thick and long enough.
    width_len, missing_len : int or None
        Those strips side by side, and the width still missing of all tops [1/8 µm].
    laid : tuple of HandStrip
        Strips that one top takes, where boards are used as wide as they are.
    feet : Decimal or None
        Board feet of the boards that these come from.
    warnings, notes : tuple of str
        Width that is missing; boards that are too thin, too short, or not needed.
    """

    still: Wanted
    tally: Tally | None = None
    strips: int | None = None
    width_len: int | None = None
    missing_len: int | None = None
    laid: tuple[HandStrip, ...] = ()
    feet: Decimal | None = None
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def held_against(asked: BoardTally, wanted: Wanted) -> AtHand:
    """Return the strips that boards at hand give, and what is still missing.

    Parameters
    ----------
    asked : BoardTally
        Boards at hand with their rule of measuring.
    wanted : Wanted
        Strips of the tops.

    Notes
    -----
    Boards used as wide as they are give the strips that are laid out for the top, others all that they have.
    """
    usable = tuple(row for row in asked.boards if wanted.takes(row.thickness_len, row.length_len))
    laid = hand_strips(asked.boards, wanted) if wanted.widest_len is not None else ()
    strips: Counter[int] = Counter(strip.width_len for strip in laid)
    if wanted.widest_len is None:
        for row in usable:
            strips += wanted.strips_of(row.width_len, row.length_len, row.count)
    feet = Fraction(tally(replace(asked, boards=usable)).net_bf) if usable else Fraction(0)
    missing = sum(wanted.shorts(strips))
    width = sum(width * count for width, count in strips.items())
    still = wanted.still(strips, feet)
    return AtHand(
        still=still,
        tally=tally(asked),
        strips=strips.total(),
        width_len=width,
        missing_len=missing,
        laid=laid,
        feet=feet_of(laid) if wanted.widest_len is not None else None,
        warnings=_warnings(wanted, width, missing, still),
        notes=tuple(_notes(asked, len(asked.boards) - len(usable), laid, wanted)),
    )


def _warnings(wanted: Wanted, width: int, missing: int, still: Wanted) -> tuple[str, ...]:
    """Return the warning that boards at hand do not reach the width."""
    if not missing:
        return ()
    whole = wanted.width_len * wanted.quantity
    return (
        f"the strips of the boards at hand are {both_units(width)} of {both_units(whole)} wide:"
        f" {both_units(missing)} missing, still to buy: {bought_words(still.buy())}",
    )


def _notes(asked: BoardTally, unusable: int, laid: tuple[HandStrip, ...], wanted: Wanted) -> list[str]:
    """Return notes on boards that are of no use, and on those that are not needed."""
    notes = [f"rows of boards at hand too thin or too short for this top: {unusable}"] if unusable else []
    if wanted.widest_len is None:
        return notes
    used = {strip.board for strip in laid}
    spare = [row.name for row in asked.boards if row.name and row.name not in used]
    if spare:
        notes.append(f"not needed, or of no use: {', '.join(spare)}")
    return notes
