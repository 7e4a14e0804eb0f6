"""Cans to buy: the least left over, then the fewest cans.

An exact search in whole millilitres over every mix of the sizes on offer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from calcs.asking.figures import Figure
from calcs.kit.errors import OutOfRange
from calcs.kit.rounding import up

MOST_CANS = 400
MOST_ML = 200_000
SLACK = Fraction(1, 100)
"""Of the need: cans that leave no more than this over the least count as equal, and the fewest are taken."""


@dataclass(frozen=True, kw_only=True)
class Cans:
    """Cans of one size.

    Attributes
    ----------
    count : int
        Number of cans.
    can_l : Decimal
        Size of one [L].
    """

    count: Annotated[int, Figure("How many")]
    can_l: Annotated[Decimal, Figure("Size of a can")]


@dataclass(frozen=True, kw_only=True)
class Bought:
    """Cans to buy.

    Attributes
    ----------
    cans : tuple of Cans
        The largest size first.
    bought_l, left_l : Decimal
        Content of all, and what is left over, to 0.001 [L].
    """

    cans: tuple[Cans, ...]
    bought_l: Decimal
    left_l: Decimal


def choose_cans(need_l: Fraction, sizes_l: Sequence[Decimal]) -> Bought:
    """Return the cans that leave the least, within 1 % of the need the fewest of them.

    Parameters
    ----------
    need_l : Fraction
        Amount wanted [L]; rounded up to whole millilitres.
    sizes_l : sequence of Decimal
        Sizes on offer [L], to 0.001.

    Returns
    -------
    Bought

    Raises
    ------
    OutOfRange
        More than 200 L, or more than 400 cans of the smallest size: ask for larger ones.

    Notes
    -----
    For each number of cans the least volume that covers the need is found. Among those within 1 % of the need
    over the best one, the fewest cans win.

    Examples
    --------
    Four quarts hold 3.784 L, and a gallon 3.785: one can is taken.

    >>> chosen = choose_cans(Fraction("3.7"), [Decimal("0.946"), Decimal("3.785")])
    >>> [(each.count, each.can_l) for each in chosen.cans]
    [(1, Decimal('3.785'))]
    """
    sizes = sorted({int(size * 1000) for size in sizes_l}, reverse=True)
    need = up(need_l * 1000)
    if need > MOST_ML or need > MOST_CANS * sizes[-1]:
        raise OutOfRange(
            f"cans {sizes_l[0]} L for {need / 1000:.1f} L is out of range: {MOST_CANS} cans and"
            f" {MOST_ML // 1000} L at most",
            field="cans",
            value=str(sizes_l[0]),
            allowed=f"sizes of which {MOST_CANS} or fewer are enough, for {MOST_ML // 1000} L at most",
        )
    reached = _reached(need, sizes)
    enough = {count: _least(sums >> need) + need for count, sums in enumerate(reached) if sums >> need}
    limit = min(enough.values()) + need * SLACK
    count = next(count for count, volume in enough.items() if volume <= limit)
    taken = _taken(reached, count, enough[count], sizes)
    return Bought(
        cans=tuple(Cans(count=n, can_l=Decimal(size) / 1000) for size, n in taken.items() if n),
        bought_l=Decimal(enough[count]) / 1000,
        left_l=Decimal(enough[count] - need) / 1000,
    )


def _reached(need: int, sizes: Sequence[int]) -> list[int]:
    """Return, for each number of cans, the volumes they can make, as bits [mL].

    Notes
    -----
    Bit v of entry n is set where n cans can hold v mL. Entry n + 1 is the union of entry n shifted by each
    size. Volumes past the need and one largest can are cut off.
    """
    mask = (1 << (need + sizes[0])) - 1
    reached = [1]
    while len(reached) <= up(Fraction(need, sizes[-1])):
        sums = 0
        for size in sizes:
            sums |= reached[-1] << size
        reached.append(sums & mask)
    return reached


def _least(bits: int) -> int:
    """Return the place of the lowest bit that is set."""
    return (bits & -bits).bit_length() - 1


def _taken(reached: Sequence[int], count: int, volume: int, sizes: Sequence[int]) -> dict[int, int]:
    """Return how many cans of each size make a volume, walked back from the last can."""
    taken = dict.fromkeys(sizes, 0)
    while count:
        size = next(s for s in sizes if volume >= s and reached[count - 1] >> (volume - s) & 1)
        taken[size] += 1
        count, volume = count - 1, volume - size
    return taken
