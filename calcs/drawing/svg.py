"""Marks as SVG: black, or the color of the text round it, without script, style sheet, address or id."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot
from xml.sax.saxutils import escape, quoteattr

from calcs.drawing.lines import LINES
from calcs.drawing.marks import Circle, End, Group, Line, Mark, Slot, Words

FONT = "system-ui, sans-serif"


def svg(marks: Iterable[Mark], *, wide: float, high: float, title: str, true_size: bool) -> str:
    """Return a drawing as text; with ``true_size`` its width and height are told in mm."""
    told = f' width="{wide:g}mm" height="{high:.2f}mm"' if true_size else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawn" role="img"{told}'
        f' viewBox="0 0 {wide:.3f} {high:.3f}" fill="none" stroke="currentColor" font-family="{FONT}"'
        ' style="font-variant-numeric: lining-nums tabular-nums">'
        f"<title>{escape(printable(title))}</title>{''.join(map(_mark, marks))}</svg>"
    )


def printable(words: str) -> str:
    """Return text without characters that no drawing may hold."""
    return "".join(sign if sign.isprintable() or sign == "\u00a0" else " " for sign in words)


def _mark(mark: Mark) -> str:
    if isinstance(mark, Line):
        return _line(mark)
    if isinstance(mark, Circle):
        x, y = mark.middle
        return f'<circle{_look(mark)} cx="{x:.3f}" cy="{y:.3f}" r="{mark.radius:.3f}"/>'
    if isinstance(mark, Slot):
        return _slot(mark)
    if isinstance(mark, Words):
        return _words(mark)
    if isinstance(mark, Group):
        told = "".join(f" data-{name}={quoteattr(value)}" for name, value in mark.told)
        return f'<g class="{mark.name}"{told}>'
    return "</g>" if isinstance(mark, End) else ""


def _look(mark: Line | Circle | Slot, dashes: tuple[float, ...] | None = None) -> str:
    line = LINES[mark.kind]
    steps = line.dashes if dashes is None else dashes
    dashed = f' stroke-dasharray="{" ".join(f"{step * line.width:.3f}" for step in steps)}"' if steps else ""
    fill = ' fill="currentColor"' if not isinstance(mark, Slot) and mark.fill else ""
    what = f" data-what={quoteattr(mark.what)}" if mark.what else ""
    return f' class="line-{line.number.replace(".", "-")}" stroke-width="{line.width}"{dashed}{fill}{what}'


def _line(mark: Line) -> str:
    if mark.kind == "hidden":  # each side for itself, so that corners are dashes
        sides = [Line(kind="hidden", points=ends, what=mark.what) for ends in pairwise(mark.points)]
        return "".join(_side(side) for side in sides)
    closed = mark.points[0] == mark.points[-1] and len(mark.points) > 2
    points = mark.points[:-1] if closed else mark.points
    way = "M" + " L".join(f"{x:.3f} {y:.3f}" for x, y in points) + (" Z" if closed else "")
    return f'<path{_look(mark)} d="{way}"/>'


def _side(mark: Line) -> str:
    (x1, y1), (x2, y2) = mark.points
    line = LINES["hidden"]
    dashes = fitted(hypot(x2 - x1, y2 - y1) / line.width, *line.dashes)
    return f'<path{_look(mark, dashes)} d="M{x1:.3f} {y1:.3f} L{x2:.3f} {y2:.3f}"/>'


def _slot(mark: Slot) -> str:
    (x, y), r = mark.middle, mark.high / 2
    half = max(0.0, (mark.long - mark.high) / 2)
    way = (
        f"M{x - half:.3f} {y - r:.3f} L{x + half:.3f} {y - r:.3f}"
        f" A{r:.3f} {r:.3f} 0 0 1 {x + half:.3f} {y + r:.3f}"
        f" L{x - half:.3f} {y + r:.3f} A{r:.3f} {r:.3f} 0 0 1 {x - half:.3f} {y - r:.3f} Z"
    )
    return f'<path{_look(mark)} d="{way}"/>'


def _words(mark: Words) -> str:
    x, y = mark.at
    turned = f' transform="rotate({mark.turn} {x:.3f} {y:.3f})"' if mark.turn else ""
    weight = ' font-weight="700"' if mark.bold else ""
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{mark.font:.2f}" text-anchor="{mark.anchor}"'
        f' fill="currentColor" stroke="none"{weight}{turned}>{escape(printable(mark.words))}</text>'
    )


def fitted(long: float, dash: float, gap: float) -> tuple[float, float]:
    """Return dash and gap so that a line of this length begins and ends with a dash; all in widths of the
    line.
    """
    count = max(1, round((long + gap) / (dash + gap)))
    return (long - (count - 1) * gap) / count, gap
