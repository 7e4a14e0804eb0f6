"""A board from one side at a scale: its lengths become places on the sheet, and sizes are drawn between them.

References
----------
.. [1] ISO 129-1:2018, Presentation of dimensions: line, arrows, extension lines, running dimensions from a
common origin (from memory). Where a size is too short its words stand level beside it: our departure, which a
   bench reads faster.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from math import hypot, pi

from calcs.drawing.lines import MM, size, wide
from calcs.drawing.marks import Point, Slot
from calcs.drawing.pen import Sheet

PACE = 3.7
"""Least distance of two turned words."""
GAP, PAST = 1, 2
"""Extension lines begin after a gap, and pass the dimension line [mm]."""
SHORT = 8
"""A size shorter than this has its arrows outside [mm]."""
OUTSIDE = 5
ALL = (-1e12, 1e12)


@contextmanager
def view(s: Sheet, name: str, x: float, y: float, k: float) -> Iterator[View]:
    """Draw a view with its corner at a place, at a scale."""
    with s.group("view", view=name, scale=f"{k:.7g}", at=f"{x:.4f} {y:.4f}"):
        yield View(s, x, y, k)


class View:
    """A view: all lengths are in 1/8 µm from its corner."""

    def __init__(self, sheet: Sheet, x: float, y: float, k: float) -> None:
        self.s, self.x, self.y, self.k = sheet, x, y, k

    def at(self, a: float, b: float) -> Point:
        """Return the place on the sheet [mm]."""
        return self.x + a / MM / self.k, self.y + b / MM / self.k

    def line(
        self, kind: str, *points: Point, close: bool = False, fill: bool = False, what: str = ""
    ) -> None:
        """Draw a line through points of the board."""
        self.s.line(kind, *(self.at(*p) for p in points), close=close, fill=fill, what=what)

    def rect(
        self, kind: str, a: float, b: float, long: float, high: float, *, fill: bool = False, what: str = ""
    ) -> None:
        """Draw a rectangle from its corner."""
        self.line(
            kind, (a, b), (a + long, b), (a + long, b + high), (a, b + high), close=True, fill=fill, what=what
        )

    def slot(self, kind: str, a: float, b: float, long: float, high: float, *, what: str = "") -> None:
        """Draw a slot with round ends, its middle at (a, b); a hole where it is as long as high."""
        if long <= high:
            self.s.circle(*self.at(a, b), high / MM / self.k / 2, kind=kind, what=what)
            return
        long, high = long / MM / self.k, high / MM / self.k
        self.s.marks.append(Slot(kind=kind, middle=self.at(a, b), long=long, high=high, what=what))

    def hatch(self, outline: Sequence[Point], lean: int = 1, step: float = 1.8, between: Point = ALL) -> None:
        """Draw lines at 45 degrees inside an outline, leaning either way, in a part of its length."""
        shape = [self.at(*p) for p in outline]
        low, high = (self.at(edge, 0)[0] for edge in between)
        levels = [x + lean * y for x, y in shape]
        n = int(min(levels) // step)
        while (n := n + 1) * step < max(levels):
            met = []
            for (x1, y1), (x2, y2) in pairwise((*shape, shape[0])):
                f1, f2 = x1 + lean * y1 - n * step, x2 + lean * y2 - n * step
                if f1 * f2 < 0:
                    met.append(x1 + (x2 - x1) * f1 / (f1 - f2))
            for x1, x2 in zip(sorted(met)[::2], sorted(met)[1::2], strict=False):
                x1, x2 = max(x1, low), min(x2, high)
                if x2 - x1 > 0.1:
                    self.s.line("fine", *((x, lean * (n * step - x)) for x in (x1, x2)))

    def dim(
        self, p: Point, q: Point, off: float, *, tolerance: int = 0, step: str = "bench", lead: str = "",
        crowded: bool = False,
    ) -> None:  # fmt: skip
        """Draw a size between two points, ``off`` mm away, up or left where negative; its words are what
        it measures. Words that find no room stand beside it, below it where it is ``crowded``.
        """
        true, unit = hypot(q[0] - p[0], q[1] - p[1]), self.s.unit
        words = lead + size(true, unit, step)
        words += f" ±{size(tolerance, unit, 'joint')}" if tolerance else ""
        upright, sign = p[0] == q[0], 1 if off > 0 else -1

        def flip(point: Point) -> Point:
            return point[::-1] if upright else point

        (start, foot1), (end, foot2) = sorted(flip(self.at(*each)) for each in (p, q))
        level = (max if off > 0 else min)(foot1, foot2) + off
        short = end - start < SHORT
        reach = OUTSIDE if short else 0
        s = self.s
        with s.group("dim", len=f"{true / MM:.4f}", scale=f"{self.k:.7g}", step=step):
            for along, foot in ((start, foot1), (end, foot2)):
                s.line("narrow", flip((along, foot + GAP * sign)), flip((along, level + PAST * sign)))
            s.line("narrow", flip((start, level)), flip((end, level)), what="dimension")
            for along, out in ((start, -1), (end, 1)):
                if short:
                    s.line("narrow", flip((along, level)), flip((along + out * reach, level)))
                s.head(
                    flip((along, level)), (pi / 2 if upright else 0.0) + (pi if (out < 0) != short else 0.0)
                )
            middle, beside = (start + end) / 2, short or wide(words) > end - start - 1
            if upright and beside:
                s.text(level + 2.6 * sign, middle + 1.3, words, anchor="start" if sign > 0 else "end")
            elif beside and crowded:
                s.text(middle, level + 5.2, words, anchor="middle")
            elif beside:
                s.text(end + reach + 1, level + 1.3, words)
            else:
                s.text(*flip((middle, level - 1)), words, anchor="middle", turn=-90 if upright else 0)

    def running(
        self, places: Sequence[float], face: float, off: float, *, upright: bool = False, step: str = "bench",
        datum: float = 0, gap: float = GAP,
    ) -> float:  # fmt: skip
        """Draw running sizes from a datum: a ring there, an arrow at each place, each size at its
        extension line; return where the last one stands [mm].
        """
        s, sign, last = self.s, 1 if off > 0 else -1, -1e9

        def flip(a: float, b: float) -> Point:
            return (b, a) if upright else (a, b)

        zero, foot = flip(*self.at(*flip(datum, face)))
        row = s.row(places, self.k, step)
        level = row.level and not upright
        s.line("narrow", flip(zero + row.at[0], foot + off), flip(zero + row.at[-1], foot + off))
        for place, at, words, label in zip(row.spots, row.at, row.words, row.labels, strict=True):
            here = zero + at
            last = label = zero + label if level else max(here, last + PACE)
            told = {"len": f"{place / MM:.4f}", "scale": f"{self.k:.7g}", "step": step}
            with s.group("run", **told, drawn=f"{at:.4f}"):
                jogs = label != here
                ways = [(here, foot + gap * sign), (here, foot + off + (1 if jogs else 2) * sign)]
                ways += [(label, foot + off + (2.4 if level else 3) * sign)] if jogs else []
                s.line("narrow", *(flip(*p) for p in ways))
                if place:
                    s.head(flip(here, foot + off), (pi / 2 if upright else 0) + (pi if place < 0 else 0), 2)
                else:
                    s.circle(*flip(here, foot + off), 1.2)
                if level:
                    s.text(label, foot + off + (5.6 if sign > 0 else -3), words, anchor="middle")
                else:
                    x, y = flip(label + 1.3, foot + off + 3.8 * sign)
                    s.text(
                        x,
                        y,
                        words,
                        anchor="start" if (sign > 0) == upright else "end",
                        turn=0 if upright else -90,
                    )
        return last
