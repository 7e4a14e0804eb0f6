"""Sections of a top: along and across the grain, and its edge larger beside them."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin

from calcs.drawing.lines import IN, size
from calcs.drawing.marks import Point
from calcs.drawing.pen import Sheet
from calcs.drawing.top import Channels, Ends, Top
from calcs.drawing.view import View, view


def cut(v: View, name: str, p: Point, q: Point) -> None:
    """Draw where a section is taken: thick ends beyond the outline, arrows that point as one looks,
    letters.
    """
    for (x, y), out in ((v.at(*p), -1), (v.at(*q), 1)):
        if p[0] == q[0]:
            v.s.line("cut", (x, y + 1.2 * out), (x, y + 5 * out))
            v.s.line("narrow", (x - 6, y + 4.6 * out), (x, y + 4.6 * out))
            v.s.head((x, y + 4.6 * out), 0.0)
            v.s.text(x - 8.9, y + 4.6 * out + 1.3, name, bold=True)
        else:
            v.s.line("cut", (x + 1.2 * out, y), (x + 5 * out, y))
            v.s.line("narrow", (x + 4.6 * out, y + 3.5), (x + 4.6 * out, y))
            v.s.head((x + 4.6 * out, y), -pi / 2)
            v.s.text(x + 4.6 * out, y + 6.8, name, anchor="middle", bold=True)


def along(v: View, top: Top, thickness: int) -> None:
    """Draw the section along the grain; ends are hatched the other way, steel is black."""
    t, length = thickness, top.length
    panel = _panel(top, thickness)
    for shape in _ends(top.ends, length, t) if top.ends else ():
        v.hatch(shape, lean=-1)
        v.line("outline", *shape, close=True)
    v.hatch(panel)
    v.line("outline", *panel, close=True)
    if top.channels:
        for at in top.channels.at:
            v.line("fine", *steel(top.channels, at, t), close=True, fill=True)
    v.rect("fine", 0, 0, length, t, what="finished")


def _panel(top: Top, t: int) -> list[Point]:
    """Return the outline of the panel: tongues at its ends, recesses below."""
    below: list[Point] = []
    if top.channels:
        wide, deep = top.channels.recess_wide, top.channels.recess_middle
        for at in reversed(top.channels.at):
            a, b = at + wide / 2, at - wide / 2
            below += [(a, t), (a, t - deep), (b, t - deep), (b, t)]
    if top.ends is None:
        return [(0, 0), (top.length, 0), (top.length, t), *below, (0, t)]
    (low, high), near, far = top.panel, top.ends.wide, top.length - top.ends.wide
    u, d = (t - top.ends.tongue_thick) / 2, (t + top.ends.tongue_thick) / 2
    right = [(far, 0), (far, u), (high, u), (high, d), (far, d), (far, t)]
    left = [(near, t), (near, d), (low, d), (low, u), (near, u)]
    return [(near, 0), *right, *below, *left]


def _ends(made: Ends, length: int, t: int) -> list[list[Point]]:
    """Return the outlines of both ends, with their mortises."""
    u, d = (t - made.tongue_thick) / 2, (t + made.tongue_thick) / 2
    floor = made.wide - made.mortise_deep
    end: list[Point] = [
        (0, 0), (made.wide, 0), (made.wide, u), (floor, u), (floor, d), (made.wide, d), (made.wide, t), (0, t)
    ]  # fmt: skip
    return [end, [(length - a, b) for a, b in end]]


def steel(made: Channels, at: float, t: float) -> list[Point]:
    """Return a channel cut across: web against the floor of its recess, legs flush with the underside."""
    a, b, floor, wall = at - made.wide / 2, at + made.wide / 2, t - made.deep, made.wall
    inside = [(b - wall, t), (b - wall, floor + wall), (a + wall, floor + wall), (a + wall, t)]
    return [(a, t), (a, floor), (b, floor), (b, t), *inside]


def profile(top: Top, t: int, *, recess: bool = False) -> list[Point]:
    """Return the outline across the grain: edges eased above, bevelled or eased below, with a recess where
    asked.
    """
    w, edge = top.width, top.edge
    above = _quarter(edge.radius)
    if edge.bevel:
        below: list[Point] = [(edge.bevel, t), (0, t - edge.bevel)]
    else:
        below = [(x, t - y) for x, y in reversed(_quarter(edge.below))]
    left = [*below, *above]
    shape = [*left, *((w - x, y) for x, y in reversed(left))]
    if recess and top.channels:
        a, b = (w - top.channels.recess_long) / 2, (w + top.channels.recess_long) / 2
        deep = top.channels.recess_middle
        shape += [(b, t), (b, t - deep), (a, t - deep), (a, t)]
    return shape


def _quarter(r: int) -> list[Point]:
    """Return a corner rounded by a radius, from the side to the top."""
    if not r:
        return [(0, 0)]
    return [(r - r * cos(pi / 2 * n / 8), r - r * sin(pi / 2 * n / 8)) for n in range(9)]


def across_and_edge(s: Sheet, top: Top, thickness: int, x: float) -> None:
    """Draw the section across the grain with its thickness, and the edge beside it, on a narrow sheet
    below it.
    """
    below, w, t = s.paper.width < 150, top.width, thickness
    k = s.scale(w, s.right - x - (36 if below else 108))
    s.heading("Across the grain" if s.paper.compact else "A–A", k)
    with view(s, "across", x, s.y + 9, k) as v:
        shape = profile(top, t, recess=True)
        for n, part in enumerate(pairwise(top.seams)):
            v.hatch(shape, 1 if n % 2 else -1, 1.4, part)
            if n:
                v.line("fine", (part[0], 0), (part[0], t * 0.6 if top.channels else t))
        v.line("outline", *shape, close=True)
        if top.channels:
            _channel_along(v, top.channels, w, t)
        v.dim((w, 0), (w, t), 9, tolerance=top.tolerance, step="joint")
        right, middle = v.at(w, t / 2)
        v.s.circle(right - 1.5, middle, 5)
        v.s.text(right - 1, min(middle - 6, v.y - 1.5), "X", anchor="middle", bold=True)
        v.line("fine", (0, 0), (w, 0), what="finished")
        lower = v.at(0, t)[1] + (12 if top.channels else 6)
    if below:
        s.y = _edge(s, top, t, x + 4, lower)
    else:
        s.y = max(lower, _edge(s, top, t, s.right - 62, s.y))


def _channel_along(v: View, made: Channels, w: int, t: int) -> None:
    a = (w - made.long) / 2
    v.rect("narrow", a, t - made.deep, made.long, made.deep)
    v.rect("fine", a, t - made.deep, made.long, made.wall, fill=True)
    words = f"{len(made.at)} steel channels let in flush"
    tip = v.at(a + 0.12 * made.long, t - made.deep / 2)
    v.s.leader(tip, (tip[0] + 6, v.at(0, t)[1] + 7), words)


def _edge(s: Sheet, top: Top, t: int, x: float, y: float) -> float:
    """Draw the edge, broken off inward; return where it ends on the sheet."""
    w, edge = top.width, top.edge
    k, kept = s.scale(t, 24, high=24), min(int(1.3 * t), w)
    s.heading("X, edge all round", k, x=x, y=y)
    with view(s, "edge", x, y + 8, k) as v:
        right = [(a - w + kept, b) for a, b in profile(top, t) if a > w / 2]
        torn: list[Point] = [(0.05 * IN * sin(1.9 * n), t * (8 - n) / 8) for n in range(9)]
        torn[0], torn[-1] = (0, t), (0, 0)
        v.hatch([*torn, *right])
        v.line("outline", torn[-1], *right, torn[0])
        v.line("narrow", *torn)
        corner = v.at(kept - 0.3 * edge.radius, 0.3 * edge.radius)
        v.s.leader(corner, (corner[0] + 6, corner[1] + 3), _edge_words(top, s.unit))
        if edge.bevel:
            v.dim((kept - edge.bevel, t), (kept, t), 10, step="joint")
            v.dim((kept, t - edge.bevel), (kept, t), 6, step="joint")
        return v.at(0, t)[1] + (15 if edge.bevel else 4)


def _edge_words(top: Top, unit: str) -> str:
    edge = top.edge
    if not edge.radius:
        return edge.words
    both = "2 × " if edge.below == edge.radius else ""
    return f"{both}R {size(edge.radius, unit, 'joint')}"
