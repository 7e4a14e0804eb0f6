"""Strips that tops want, the whole boards to buy for them, and the strips that measured boards give.

Boards come in whole pieces, so a plan counts strips along and across each board. Knots and checks take their
share: a board never counts for more strips than its board feet are worth with waste.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from calcs.kit.rounding import up
from calcs.kit.units import UNITS_PER_INCH, inches
from calcs.lumber.board_footage import FOOT, board_feet
from calcs.lumber.boards import Bought

ON_OFFER = tuple(feet * FOOT for feet in range(8, 13))
"""Lengths of boards a yard has, where none is given: whole feet, 8 to 12; common practice, no source."""
LEAST_STRIP_LEN = inches(1)
"""A strip from a narrower board is not counted; common practice, no source."""
STEP = UNITS_PER_INCH // 64


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Strips of tops alike, and the boards on offer for them.

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
    board_width_len, board_length_len : int, int or None
        Boards on offer: their width, and their length where somebody says it [1/8 µm].
    widest_len : int or None
        Widest strip [1/8 µm] where boards at hand are used as wide as they are; None where strips are alike.
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
    board_width_len: int
    board_length_len: int | None = None
    widest_len: int | None = None

    @property
    def lengths(self) -> tuple[int, ...]:
        """Return the lengths of boards to choose from [1/8 µm]: the one told, else those on offer that hold a
        strip, else the next whole foot.
        """
        if self.board_length_len is not None:
            return (self.board_length_len,)
        long = tuple(length for length in ON_OFFER if length >= self.blank_len)
        return long or (up(Fraction(self.blank_len, FOOT)) * FOOT,)

    @property
    def bought_strip_len(self) -> int:
        """Return the width of a strip from a board on offer [1/8 µm]."""
        return self.strip_len or self.board_width_len - self.lost_len

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
        A board narrower than a strip gives one as wide as it is. Strips under 1 in are not counted. Where
        widths may vary, strips alike that are narrow enough, rounded down to 1/64 in; one more of them where
        that adds 1 in of width.
        """
        along = count * (length_len // self.blank_len)
        if self.widest_len is not None:
            return self._ripped(width_len, along, self.widest_len)
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

    def _ripped(self, width_len: int, along: int, widest_len: int) -> Counter[int]:
        """Return the strips of a board that is ripped into narrow enough ones."""
        across = max(1, width_len // (widest_len + self.lost_len))
        each = self._each(width_len, across, widest_len)
        more = self._each(width_len, across + 1, widest_len)
        if (across + 1) * more >= across * each + LEAST_STRIP_LEN:
            across, each = across + 1, more
        return Counter({each: across * along} if each >= LEAST_STRIP_LEN and along else {})

    def _each(self, width_len: int, across: int, widest_len: int) -> int:
        """Return the width of one of so many strips of a board [1/8 µm], down to 1/64 in."""
        return min(widest_len, (width_len - across * self.lost_len) // across // STEP * STEP)

    def shorts(self, strips: Mapping[int, int]) -> Iterator[int]:
        """Yield the width that these strips leave missing of each top [1/8 µm].

        Widest strips go first, and each strip belongs to one top.
        """
        left = sorted(strips.items())
        for _ in range(self.quantity):
            short = self.width_len
            while short > 0 and left:
                width, count = left.pop()
                taken = min(count, up(Fraction(short, width)))
                short -= taken * width
                if count > taken:
                    left.append((width, count - taken))
            yield max(0, short)

    def still(self, strips: Mapping[int, int], at_hand_bf: Fraction) -> Wanted:
        """Return what is still wanted beside the strips of boards at hand.

        Parameters
        ----------
        strips : Mapping
            Strips at hand: how many of each width [1/8 µm].
        at_hand_bf : Fraction
            Board feet at hand.

        Notes
        -----
        Whole strips of each top's missing width, or those that the board feet at hand are short of with
        waste, the larger of the two: boards that are wide enough together may leave nothing for knots and
        checks. Where boards are used as wide as they are, the width alone counts: their faults are seen.
        """
        by_width = sum(up(Fraction(short, self.bought_strip_len)) for short in self.shorts(strips))
        by_feet = up(self.strips * (1 - at_hand_bf / self.gross_bf)) if self.widest_len is None else 0
        count = max(by_width, by_feet, 0)
        return replace(self, strips=count, gross_bf=self.gross_bf * count / self.strips)

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

    def buy(self) -> tuple[Bought, ...]:
        """Return the whole boards to buy with the fewest board feet: of one length, the last board perhaps
        shorter; none where no strip is wanted.

        Notes
        -----
        Of plans with equal board feet the one with fewest boards wins, then the one with the shorter longest
        board.
        """
        if not self.strips:
            return ()
        width_len, lengths = self.board_width_len, self.lengths
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
