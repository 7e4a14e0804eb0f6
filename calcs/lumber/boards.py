"""Whole boards as they are bought, in rows and in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from calcs.asking.figures import Figure
from calcs.kit.units import both_units
from calcs.lumber.board_footage import FOOT


@dataclass(frozen=True, kw_only=True)
class Bought:
    """Boards alike to buy.

    Attributes
    ----------
    count : int
        Number of boards.
    width_len, length_len : int
        Size of a board [1/8 µm].
    """

    count: Annotated[int, Figure("How many")]
    width_len: Annotated[int, Figure("Width")]
    length_len: Annotated[int, Figure("Length")]


def together(*plans: Iterable[Bought]) -> tuple[Bought, ...]:
    """Return the boards of several plans, those of one size in one row."""
    counts: Counter[tuple[int, int]] = Counter()
    for row in (row for plan in plans for row in plan):
        counts[row.width_len, row.length_len] += row.count
    return tuple(Bought(count=n, width_len=wide, length_len=long) for (wide, long), n in counts.items())


def bought_words(rows: Iterable[Bought]) -> str:
    """Write boards to buy, their length in feet where it is whole feet.

    Examples
    --------
    >>> from calcs.kit.units import inches
    >>> bought_words([Bought(count=2, width_len=inches(7), length_len=11 * FOOT)])
    '2 boards 11 ft long'
    """
    told = []
    for row in rows:
        feet, part = divmod(row.length_len, FOOT)
        length = f"{feet} ft" if not part else both_units(row.length_len)
        told.append(f"{row.count} {'board' if row.count == 1 else 'boards'} {length} long")
    return " and ".join(told)


def bought_of(figures: Mapping[str, Any]) -> list[Bought]:
    """Return the boards to buy from the kept figures of a lumber calculation."""
    names = ("count", "width_len", "length_len")
    return [Bought(**{name: row[name] for name in names}) for row in figures["to_buy"]]
