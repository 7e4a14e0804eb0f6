"""Whole boards to buy for the strips of tops, and the strips that measured boards give.

Boards come in whole pieces, so a plan counts strips along and across each board. Knots and checks take their
share: a board never counts for more strips than its board feet are worth with waste.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any

from calcs.asking.figures import Figure
from calcs.kit.rounding import up
from calcs.kit.units import both_units, inches
from calcs.lumber.board_footage import FOOT, board_feet

ON_OFFER = tuple(feet * FOOT for feet in range(8, 13))
"""Lengths of boards a yard has, where none is given: whole feet, 8 to 12; common practice, no source."""
LEAST_STRIP_LEN = inches(1)
"""A strip from a narrower board is not counted; common practice, no source."""


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


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Strips of tops alike.

    Parameters
    ----------
    blank_len : int
        Length a strip is cut to [1/8 µm].
    strip_len : int or None
        Finished width of a strip [1/8 µm]; None where each board is one strip.
    lost_len : int
        Width lost on each strip to straight edges and the rip cut [1/8 µm].
    width_len, quantity, strips : int
        Finished width of one top [1/8 µm], number of tops, strips of all of them.
    rough_len, hand_len : int
        Rough thickness of boards to buy, and the least one of a board at hand [1/8 µm].
    gross_bf : Fraction
        Board feet of all strips with what is lost and with waste.
    """

    blank_len: int
    strip_len: int | None
    lost_len: int
    width_len: int
    quantity: int
    strips: int
    rough_len: int
    hand_len: int
    gross_bf: Fraction

    def takes(self, thickness_len: int, length_len: int) -> bool:
        """Return whether a board is thick and long enough for a strip; sizes [1/8 µm]."""
        return thickness_len >= self.hand_len and length_len >= self.blank_len

    def strips_of(self, width_len: int, length_len: int, count: int = 1) -> Counter[int]:
        """Return the strips that boards alike give, by their widths [1/8 µm], from the measured sizes.

        Parameters
        ----------
        width_len, length_len : int
            Size of a board [1/8 µm].
        count : int
            Number of boards.

        Notes
        -----
        Whole strips of the wanted width, and a narrower one from the rest if that is at least half as wide.
        A board narrower than a strip gives one as wide as it is. Strips under 1 in are not counted.
        """
        along = count * (length_len // self.blank_len)
        if self.strip_len is None:
            whole, rest, least = 0, width_len - self.lost_len, LEAST_STRIP_LEN
        else:
            whole, left = divmod(width_len, self.strip_len + self.lost_len)
            rest = left - self.lost_len
            least = max(LEAST_STRIP_LEN, self.strip_len // 2 if whole else 0)
        found: Counter[int] = Counter()
        if whole and self.strip_len is not None:
            found[self.strip_len] += whole * along
        if rest >= least:
            found[rest] += along
        return found

    def missing_len(self, strips: Counter[int]) -> int:
        """Return the width that these strips leave missing of all tops [1/8 µm].

        Widest strips go first, and each strip belongs to one top.
        """
        left = sorted(strips.items())
        for top in range(self.quantity):
            short = self.width_len
            while short > 0:
                if not left:
                    return short + (self.quantity - top - 1) * self.width_len
                width, count = left.pop()
                taken = min(count, up(Fraction(short, width)))
                short -= taken * width
                if count > taken:
                    left.append((width, count - taken))
        return 0

    def missing_share(self, strips: Counter[int], at_hand_bf: Fraction) -> Fraction:
        """Return the share of the need that boards at hand leave missing.

        Parameters
        ----------
        strips : Counter
            Strips at hand by their widths [1/8 µm].
        at_hand_bf : Fraction
            Board feet at hand.

        Notes
        -----
        By width or by board feet with waste, the larger of the two. Boards that are wide enough together may
        leave nothing for knots and checks.
        """
        by_width = Fraction(self.missing_len(strips), self.width_len * self.quantity)
        return max(by_width, 1 - at_hand_bf / self.gross_bf, Fraction(0))

    def each_gives(self, width_len: int, length_len: int) -> Fraction:
        """Return how many of the strips one board to buy gives, less its share of waste; 0 if none.

        Notes
        -----
        min(strips along x strips across, board feet x strips / gross board feet). The rest of a board takes
        knots and checks first.
        """
        taken = (self.strip_len or width_len - self.lost_len) + self.lost_len
        whole = (length_len // self.blank_len) * (width_len // taken)
        return min(Fraction(whole), self._feet(width_len, length_len) * self.strips / self.gross_bf)

    def buy(self, width_len: int, lengths: Sequence[int]) -> tuple[Bought, ...]:
        """Return the whole boards to buy with the fewest board feet: of one length, the last board perhaps
        shorter.

        Parameters
        ----------
        width_len : int
            Width of the boards on offer [1/8 µm].
        lengths : sequence of int
            Their lengths, shortest first [1/8 µm]; at least one must give a strip.

        Notes
        -----
        Of plans with equal board feet the one with fewest boards wins, then the one with the shorter longest
        board.
        """
        gives = {length: self.each_gives(width_len, length) for length in lengths}
        feet = {length: self._feet(width_len, length) for length in lengths}
        plans = [self._of_length(length, gives) for length in lengths if gives[length]]

        def price(plan: list[tuple[int, int]]) -> tuple[Fraction, int, int]:
            total = sum((n * feet[length] for n, length in plan), Fraction(0))
            return total, sum(n for n, _ in plan), max(length for _, length in plan)

        return tuple(
            Bought(count=n, width_len=width_len, length_len=length) for n, length in min(plans, key=price)
        )

    def _of_length(self, length_len: int, gives: Mapping[int, Fraction]) -> list[tuple[int, int]]:
        """Return boards of one length, with the shortest board that makes up the rest."""
        count = int(self.strips // gives[length_len])
        rest = self.strips - count * gives[length_len]
        if not rest:
            return [(count, length_len)]
        last = min(length for length, each in gives.items() if each >= rest)
        if last == length_len:
            return [(count + 1, length_len)]
        return [(n, length) for n, length in ((count, length_len), (1, last)) if n]

    def feet(self, plan: Iterable[Bought]) -> Fraction:
        """Return the board feet of boards to buy, each tallied by itself."""
        return sum((row.count * self._feet(row.width_len, row.length_len) for row in plan), Fraction(0))

    def _feet(self, width_len: int, length_len: int) -> Fraction:
        """Return the board feet of one board to buy, by the trade's rounding."""
        each = board_feet(thickness_len=self.rough_len, width_len=width_len, length_len=length_len)
        return Fraction(each)


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
    >>> bought_words([Bought(count=2, width_len=inches(7), length_len=11 * FOOT)])
    '2 boards 11 ft long'
    """
    told = []
    for row in rows:
        feet, part = divmod(row.length_len, FOOT)
        length = f"{feet} ft" if not part else both_units(row.length_len)
        told.append(f"{row.count} {'board' if row.count == 1 else 'boards'} {length} long")
    return " and ".join(told)


def wanted_of(inputs: Mapping[str, Any], figures: Mapping[str, Any]) -> Wanted:
    """Return the strips of a kept lumber calculation, from its inputs and its figures."""
    return Wanted(
        blank_len=figures["blank_len"],
        strip_len=inputs["strip_len"],
        lost_len=inputs["joint_allowance_len"] + inputs["kerf_len"],
        width_len=inputs["width_len"],
        quantity=inputs["quantity"],
        strips=figures["strips"],
        rough_len=figures["rough_len"],
        hand_len=figures.get("hand_len", figures["rough_len"]),
        gross_bf=Fraction(figures["gross_bf"]),
    )


def bought_of(figures: Mapping[str, Any]) -> list[Bought]:
    """Return the boards to buy from the kept figures of a lumber calculation."""
    names = ("count", "width_len", "length_len")
    return [Bought(**{name: row[name] for name in names}) for row in figures["to_buy"]]
