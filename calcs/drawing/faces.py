"""A top from above and below: its finished face, the blank as it is glued, the underside, a breadboard end.

Here are the lines of the board alone, so that a template of it can be cut from them; sizes stand in `sheets`.
"""

from __future__ import annotations

from itertools import pairwise
from math import sin

from calcs.drawing.lines import MM, SMALL, TEXT, size, wide
from calcs.drawing.marks import Point
from calcs.drawing.top import Channels, Ends, GlueUp, Slots, Top
from calcs.drawing.view import View

PANEL_SHOWN = 33
"""How much of the panel is drawn below its end [mm of paper]."""
LINE_HIGH = 2.6
"""Least distance of two numbers of sessions, which count downward [mm of paper]."""


def finished_face(v: View, top: Top, *, grain: bool = True) -> None:
    """Draw the finished face: seams, ends, and hints of the grain."""
    off, length, width = top.ends_wide, top.length, top.width
    for n, (upper, lower) in enumerate(pairwise(top.seams)):
        upper, lower = max(0, upper), min(width, lower)
        if grain:
            _figure(v, (off, length - off), (upper, lower), n)
        if n:
            v.line("narrow", (off, upper), (length - off, upper), what="seam")
    if off:
        for a, b in ((0, off), (length - off, length)):
            if grain:
                _figure(v, (0, width), (a, b), 5 if a else 2, upright=True)
        for a in (off, length - off):
            v.line("outline", (a, 0), (a, width), what="end")
    v.rect("outline", 0, 0, length, width, what="finished")


def _figure(v: View, reach: Point, sides: Point, seed: int, *, upright: bool = False) -> None:
    """Draw arches of a flat-sawn board, one in another, the same every time."""
    long, middle, half = reach[1] - reach[0], sum(sides) / 2, (sides[1] - sides[0]) / 2
    start, room = 0.05 + 0.618 * seed % 0.35, half / MM / v.k
    arches = 3 if room > 3 else 2 if room > 2.2 else 1
    ways = [
        [
            (start + 0.1 * n + (0.42 - 0.07 * n) * (t / 16) ** 2, (0.6 - 0.17 * n) * t / 16)
            for t in range(-16, 17)
        ]
        for n in range(arches)
    ]
    if arches > 1:
        ways += [
            [(a + d * t / 8, side * (0.8 + 0.03 * sin(t + seed))) for t in range(9)]
            for side in (-1, 1)
            for a, d in ((0.04, 0.5), (0.66, 0.3))
        ]
    for way in ways:
        places = [
            (reach[0] + long * (1 - a if seed % 2 else a), middle + half * (b + 0.08 * sin(2 * seed + 5 * a)))
            for a, b in way
        ]
        v.line("fine", *((y, x) if upright else (x, y) for x, y in places))


def blank(v: View, top: Top, glue: GlueUp) -> None:
    """Draw the strips as they are glued, slots hidden in their joints, and the lines they will be squared
    to.
    """
    (start, end), (low, high), seams = top.panel, top.blank, top.seams
    edge, far = seams[0], seams[-1]
    v.rect("outline", low, edge, high - low, far - edge, what="blank")
    if glue.trim:
        for at in (start, end):
            v.line("other", (at, edge), (at, far), what="squared")
    for seam in seams[1:-1]:
        v.line("narrow", (low, seam), (high, seam), what="seam")
        if glue.slots:
            _slots(v, glue.slots, seam, start)


def tick(slots: Slots) -> float:
    """Return how far the mark of a slot's middle reaches from its joint [1/8 µm]."""
    return 1.6 * slots.into


def _slots(v: View, slots: Slots, seam: int, start: int) -> None:
    for at in (start + place for place in slots.at):
        half, into = slots.along / 2, slots.into
        v.rect("hidden", at - half, seam - into, slots.along, 2 * into, what="slot")
        v.line("narrow", (at, seam - tick(slots)), (at, seam + tick(slots)), what="slot middle")


def letter_size(v: View, top: Top) -> float:
    """Return the size of type that finds room in the narrowest strip; 0 where none does [mm]."""
    narrowest = min(strip.width for strip in top.strips) / MM / v.k
    marks = tick(top.glue.slots) / MM / v.k if top.glue and top.glue.slots else 0
    room = (narrowest - 2 * marks - 0.6) / 0.66
    return next((font for font in (TEXT, SMALL) if font <= room), 0)


def strip_marks(v: View, top: Top) -> bool:
    """Draw letters and widths of the strips, planing arrows and the witness triangle; False without room
    for letters.
    """
    (start, end), seams = top.panel, top.seams
    font = letter_size(v, top)
    letters = max(wide(strip.label, font, bold=True) for strip in top.strips)
    room = (end - start) / MM / v.k
    words = max(wide(size(strip.width, v.s.unit, "joint"), font) for strip in top.strips)
    sizes = font and letters + words + 4 < 0.3 * room
    for strip, (upper, lower) in zip(top.strips, pairwise(seams), strict=True):
        middle = (upper + lower) / 2
        if font:
            x, y = v.at(start, middle)
            v.s.text(x + 1.5, y + 0.33 * font, strip.label, bold=True, font=font)
            if sizes:
                v.s.text(x + 3.5 + letters, y + 0.33 * font, size(strip.width, v.s.unit, "joint"), font=font)
        tip = v.at(start + 0.92 * (end - start), middle)
        v.s.line("narrow", (tip[0] - min(12, 0.08 * room), tip[1]), tip)
        v.s.head(tip, 0.0, min(2.5, 0.3 * (lower - upper) / MM / v.k / 0.2))
    first, last = (seams[0] + seams[1]) / 2, (seams[-2] + seams[-1]) / 2
    base = start + 0.42 * (end - start)
    v.line(
        "narrow", (base, first), (base + 0.3 * (end - start), (first + last) / 2), (base, last), close=True
    )
    return bool(sizes)


def sessions(v: View, top: Top, glue: GlueUp) -> float:
    """Draw a bracket for each clamping, dots at the joints that it closes, its number beside it; return
    the room [mm].
    """
    edge, rounds = v.at(top.blank[1], 0)[0], max((session.round for session in glue.sessions), default=0)
    last: dict[int, float] = {}
    for session in glue.sessions:
        x = edge + 2.2 + 6 * (session.round - 1)
        ys = [v.at(0, top.seams[part[0]])[1] for part in session.parts]
        upper, lower = ys[0] + 0.5, v.at(0, top.seams[session.parts[-1][1]])[1] - 0.5
        v.s.line("narrow", (x - 1, upper), (x, upper), (x, lower), (x - 1, lower))
        for y in ys[1:]:
            v.s.circle(x, y, 0.8, fill=True)
        middle = (upper + lower) / 2
        if middle - last.get(session.round, -LINE_HIGH) >= LINE_HIGH:
            v.s.text(x + 1.2, middle + 0.9, str(session.number), bold=True, font=SMALL)
            last[session.round] = middle
    return 2.2 + 6 * rounds if rounds else 0.0


def under_face(v: View, top: Top, made: Channels) -> None:
    """Draw the underside: recesses, channels with their axes, and where the bolts go."""
    v.rect("outline", 0, 0, top.length, top.width, what="finished")
    if top.edge.bevel:
        inn = top.edge.bevel
        v.rect("outline", inn, inn, top.length - 2 * inn, top.width - 2 * inn, what="bevel")
    if top.ends_wide:
        for a in (top.ends_wide, top.length - top.ends_wide):
            v.line("outline", (a, 0), (a, top.width), what="end")
    begins, ends = (top.width - made.recess_long) / 2, (top.width + made.recess_long) / 2
    first = (top.width - made.long) / 2
    for at in made.at:
        v.rect(
            "outline", at - made.recess_wide / 2, begins, made.recess_wide, made.recess_long, what="recess"
        )
        v.rect("narrow", at - made.wide / 2, first, made.wide, made.long, what="channel")
        past = 0.4 * begins
        v.line("centre", (at, begins - past), (at, ends + past))
        for bolt in made.bolts:
            v.slot("outline", at, first + bolt.at, made.bolt, made.bolt, what="bolt")


def end_face(v: View, top: Top, made: Ends) -> None:
    """Draw the left end above its panel: tongue and mortise hidden, pegs, their slots, where glue goes."""
    width, over = top.width, (top.width - made.long) / 2
    below = made.wide + PANEL_SHOWN * MM * v.k
    v.rect("outline", over, 0, made.long, made.wide, what="breadboard end")
    v.line("outline", (0, below), (0, made.wide), (width, made.wide), (width, below))
    v.line("narrow", *((width * n / 24, below + 1.2 * MM * v.k * sin(n)) for n in range(25)))
    for seam in top.seams[1:-1]:
        v.line("narrow", (seam, made.wide), (seam, made.wide + 2.5 * MM * v.k))
    off, mortise = (width - made.tongue) / 2, (width - made.mortise) / 2
    v.rect("hidden", off, made.wide - made.tongue_deep, made.tongue, made.tongue_deep, what="tongue")
    deep = made.mortise_deep
    v.rect("hidden", mortise, made.wide - deep, made.mortise, deep, what="mortise")
    for peg in made.pegs:
        inward = (peg.at < width / 2) - (peg.at > width / 2)
        v.slot("outline", peg.at, made.wide - made.pegs_in, made.peg, made.peg, what="peg")
        if not peg.round:
            middle = peg.at + inward * (peg.inner - peg.slot / 2)
            v.slot("narrow", middle, made.wide - made.pegs_in, peg.slot, made.peg, what="peg slot")
    low, high = made.glued
    v.line("area", (low, made.wide + MM * v.k), (high, made.wide + MM * v.k), what="glued")
