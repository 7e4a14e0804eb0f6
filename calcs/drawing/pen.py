"""The pen: a sheet with its margins, lines, words, headings, scales and the bar to measure by. All in mm
of paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from math import atan2, cos, sin
from textwrap import wrap

from calcs.drawing.lines import BARS, LETTER_WIDE, MM, SCALES, SMALL, TEXT, Block, Paper, ratio, size, wide
from calcs.drawing.marks import Circle, End, Group, Line, Mark, Point, Words
from calcs.drawing.svg import svg
from calcs.drawing.title_block import draw_block

LEAST_APART = 1.2
"""Between two words beside each other."""
MOST_SHIFTED = 3.5
"""How far a level word may stand beside its place; else all words of a row are turned."""
BELOW_VIEWS, SHEET_FRAME = 128, (24, 12, 12)
BARE_FRAME = (1.5, 1.5, 1)
NOTE, NOTE_LINE = 3.6, 4.6


@dataclass(frozen=True, kw_only=True)
class Row:
    """Running sizes at a scale: lengths, places, words and where the words go; ``reach`` is the room they
    need.
    """

    spots: list[float]
    at: list[float]
    words: list[str]
    labels: list[float]
    level: bool
    reach: float


class Sheet:
    """A sheet of paper and a place ``y`` on it that moves down; views leave ``spare`` mm of its height."""

    def __init__(self, paper: Paper, spare: float = 0) -> None:
        self.paper, self.spare = paper, spare
        self.marks: list[Mark] = []
        left, right, top = SHEET_FRAME if paper.height else BARE_FRAME
        self.left, self.right, self.y = float(left), paper.width - right, float(top)

    @property
    def unit(self) -> str:
        """Return the unit of all sizes."""
        return self.paper.unit

    @property
    def room(self) -> float:
        """Return the width for views [mm]."""
        return self.right - self.left

    def line(
        self, kind: str, *points: Point, close: bool = False, fill: bool = False, what: str = ""
    ) -> None:
        """Draw a line through points of the sheet [mm]."""
        ends = (*points, points[0]) if close else points
        self.marks.append(Line(kind=kind, points=ends, fill=fill, what=what))

    def circle(
        self, x: float, y: float, r: float, *, kind: str = "narrow", fill: bool = False, what: str = ""
    ) -> None:
        """Draw a circle."""
        self.marks.append(Circle(kind=kind, middle=(x, y), radius=r, fill=fill, what=what))

    def head(self, tip: Point, way: float, long: float = 2.5) -> None:
        """Draw a filled arrowhead that points ``way`` [radians, clockwise from the right]."""
        back = [(tip[0] - long * cos(way + a), tip[1] - long * sin(way + a)) for a in (0.2, -0.2)]
        self.line("fine", tip, *back, close=True, fill=True)

    def text(
        self, x: float, y: float, words: str, *, anchor: str = "start", turn: int = 0, bold: bool = False,
        font: float = TEXT,
    ) -> None:  # fmt: skip
        """Write one line of text; ``y`` is its baseline."""
        self.marks.append(Words(at=(x, y), words=words, anchor=anchor, turn=turn, bold=bold, font=font))

    def leader(self, tip: Point, bend: Point, words: str, *, face: bool = False) -> None:
        """Draw a leader with its words on a shelf: an arrow to an outline, a dot in a face."""
        side = 1 if bend[0] >= tip[0] else -1
        self.line("narrow", tip, bend, (bend[0] + 2 * side, bend[1]))
        if face:
            self.circle(*tip, 0.5, fill=True)
        else:
            self.head(tip, atan2(tip[1] - bend[1], tip[0] - bend[0]), 2)
        self.text(bend[0] + 3 * side, bend[1] + 1.3, words, anchor="start" if side > 0 else "end")

    def scale(self, length: float, room: float, across: float = 0, high: float | None = None) -> float:
        """Return the largest scale of the series at which a length fits its room and a width the height.

        On a phone any scale serves, so the view is as large as it can be.
        """
        paper = self.paper
        usual = paper.height - BELOW_VIEWS - self.spare if paper.height else 130 if paper.compact else 82
        need = max(length / MM / room, across / MM / (usual if high is None else high))
        if paper.compact:
            return max(need, 0.2)
        return next((k for k in SCALES[paper.unit] if k >= need), float(SCALES[paper.unit][-1]))

    def row(self, places: Sequence[float], k: float, step: str = "bench") -> Row:
        """Return running sizes at a scale: what they say, and where their words find room."""
        spots = sorted({0.0, *map(float, places)})
        words = [("−" if spot < 0 else "") + size(abs(spot), self.unit, step) for spot in spots]
        widths = [wide(each) for each in words]
        at = [spot / MM / k for spot in spots]
        labels = at[:1]
        for here, before, own in zip(at[1:], widths, widths[1:], strict=False):
            labels.append(max(here, labels[-1] + LEAST_APART + (before + own) / 2))
        level = all(label - here < MOST_SHIFTED for label, here in zip(labels, at, strict=True))
        return Row(
            spots=spots, at=at, words=words, labels=labels, level=level, reach=5 if level else 4 + max(widths)
        )

    def heading(self, words: str, k: float, *, x: float | None = None, y: float | None = None) -> None:
        """Write the name of a view and its scale."""
        told = "" if self.paper.compact or not k else f" ({ratio(k)})"
        self.text(
            self.left if x is None else x, (self.y if y is None else y) + 4, f"{words}{told}", bold=True
        )

    def bar(self, x: float, y: float, k: float) -> None:
        """Draw a bar to measure by, which stays true however large the drawing is shown."""
        long = next((bar for bar in BARS[self.unit] if bar / MM / k <= 34), BARS[self.unit][-1])
        half = long / MM / k / 2
        self.line("narrow", (x, y), (x + half, y), (x + half, y + 1.2), (x, y + 1.2), close=True, fill=True)
        self.line(
            "narrow",
            (x + half, y),
            (x + 2 * half, y),
            (x + 2 * half, y + 1.2),
            (x + half, y + 1.2),
            close=True,
        )
        self.text(x + 2 * half + 2, y + 2, f"{size(long, self.unit)} {self.unit}", font=SMALL)

    @contextmanager
    def group(self, name: str, **told: str) -> Iterator[None]:
        """Keep marks together under a name, with what they show."""
        self.marks.append(Group(name=name, told=tuple(told.items())))
        yield
        self.marks.append(End())

    def finish(self, title: str, k: float, notes: Sequence[str] = (), block: Block | None = None) -> str:
        """Return the drawing as SVG; ``k`` is the scale of its main view, 0 for a picture that nobody
        measures.
        """
        high = self.paper.height
        if high is not None:
            draw_block(self, block, k, notes)
        else:
            lines = [line for note in notes for line in wrap(note, int(self.room / NOTE / LETTER_WIDE))]
            for n, line in enumerate(lines):
                self.text(self.left, self.y + 4 + NOTE_LINE * n, line, font=NOTE)
            high = self.y + NOTE_LINE * len(lines) + (1 if lines else 0)
            if k:
                self.bar(self.left, high + 3, k)
                high += 6.5
        return svg(
            self.marks, wide=self.paper.width, high=high, title=title, true_size=not self.paper.compact
        )
