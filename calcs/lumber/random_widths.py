"""Strips of one top from boards used as wide as they are: only the sum of the widths counts.

Which boards are taken and where their strips lie is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.rounding import up
from calcs.lumber.board_footage import board_feet
from calcs.lumber.board_tally import Boards
from calcs.lumber.wanted import LEAST_STRIP_LEN, STEP, Wanted

TO_BUY = "to buy"


@dataclass(frozen=True, kw_only=True)
class HandStrip:
    """Strip from a board at hand.

    Attributes
    ----------
    board : str
        Name of the board.
    width_len : int
        Width of the strip [1/8 µm].
    board_bf : Decimal
        Board feet of the whole board.
    """

    board: Annotated[str, Figure("Board")]
    width_len: Annotated[int, Figure("Width")]
    board_bf: Annotated[Decimal, Figure("Board feet", hidden=True)]


def hand_strips(boards: Iterable[Boards], wanted: Wanted) -> tuple[HandStrip, ...]:
    """Return the strips of boards at hand that one top takes, in their order across it.

    Parameters
    ----------
    boards : iterable of Boards
        Boards at hand by their measured sizes.
    wanted : Wanted
        Strips of the top, ``widest_len`` among them.

    Notes
    -----
    The widest are taken first, until the width is reached; the last is then changed for the narrowest that
    still reaches it, so that little is trimmed off. The widest lie outside, the narrowest in the middle.

    Examples
    --------
    >>> from fractions import Fraction
    >>> from calcs.kit.units import inches
    >>> top = Wanted(
    ...     blank_len=inches(60), strip_len=None, lost_len=0, width_len=inches(10), quantity=1, strips=2,
    ...     rough_len=inches(1), hand_len=inches(1), gross_bf=Fraction(5), board_width_len=inches(6),
    ...     widest_len=inches(6),
    ... )
    >>> row = {"thickness_len": inches(1), "length_len": inches(96)}
    >>> wide = [Boards(**row, width_len=inches(n), name=f"{n} in") for n in (3, 4, 5, 6)]
    >>> [strip.board for strip in hand_strips(wide, top)]
    ['6 in', '4 in']
    """
    left = sorted(_all(boards, wanted), key=lambda strip: strip.width_len)
    taken: list[HandStrip] = []
    while left and _sum(taken) < wanted.width_len:
        taken.append(left.pop())
    if _sum(taken) > wanted.width_len:
        last = taken.pop()
        short = wanted.width_len - _sum(taken)
        taken.append(next((strip for strip in left if strip.width_len >= short), last))
    return (*taken[::2], *reversed(taken[1::2]))


def laid_out(strips: Sequence[HandStrip], *, width_len: int, strip_len: int) -> tuple[tuple[int, str], ...]:
    """Return width and origin of every strip across a top, those still to buy in the middle.

    Parameters
    ----------
    strips : sequence of HandStrip
        Strips of boards at hand, in their order across the top.
    width_len, strip_len : int
        Width to be reached, and widest strip that is bought [1/8 µm].

    Notes
    -----
    What is missing is divided into the fewest strips that are narrow enough, alike, rounded up to 1/64 in and
    no narrower than 1 in.
    """
    missing = max(0, width_len - _sum(strips))
    count = up(Fraction(missing, strip_len))
    each = max(up(Fraction(missing, count * STEP)) * STEP, LEAST_STRIP_LEN) if count else 0
    found = [(strip.width_len, strip.board) for strip in strips]
    half = (len(found) + 1) // 2
    return (*found[:half], *[(each, TO_BUY)] * count, *found[half:])


def _all(boards: Iterable[Boards], wanted: Wanted) -> Iterator[HandStrip]:
    """Yield every strip of the boards that are thick and long enough."""
    for n, row in enumerate(boards, start=1):
        if not wanted.takes(row.thickness_len, row.length_len):
            continue
        size = {"width_len": row.width_len, "length_len": row.length_len}
        feet = board_feet(thickness_len=row.thickness_len, **size)
        for each in range(row.count):
            of_row = row.name or (f"row {n}" if row.count == 1 else f"row {n}, board {each + 1}")
            for width, count in wanted.strips_of(**size).items():
                yield from [HandStrip(board=of_row, width_len=width, board_bf=feet)] * count


def _sum(strips: Iterable[HandStrip]) -> int:
    return sum(strip.width_len for strip in strips)


def feet_of(strips: Iterable[HandStrip]) -> Decimal:
    """Return the board feet of the boards that strips come from, each counted once."""
    return sum({strip.board: strip.board_bf for strip in strips}.values(), Decimal(0))
