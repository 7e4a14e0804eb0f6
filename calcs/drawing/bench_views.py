"""Views for the bench: clamps, the end with its rings, a channel with its slots, the joint of a breadboard
end.
"""

from __future__ import annotations

from itertools import pairwise
from math import sqrt

from calcs.drawing.lines import IN, MM, SMALL, TEXT, size, wide
from calcs.drawing.marks import Point
from calcs.drawing.pen import Sheet
from calcs.drawing.sections import steel
from calcs.drawing.top import Channels, Ends, GlueUp, Top
from calcs.drawing.view import PACE, View, view

SEEN = IN // 64
"""A smaller step at the edge counts as flush, as `calcs.structure.breadboard_parts` has it."""


def clamps(s: Sheet, top: Top, glue: GlueUp, thickness: int, x: float, k: float) -> None:
    """Draw the panel from its long edge: clamps above and below as triangles, cauls as blocks, places from
    the line.
    """
    low, high = top.blank
    start = top.panel[0]
    told = [
        f"{len(glue.above)} above ▼" if glue.above else "",
        f"{len(glue.below)} below △" if glue.below else "",
    ]
    told += [f"{len(glue.cauls)} pairs of cauls ▭" if glue.cauls else ""]
    name = "Clamps" if s.paper.compact else f"Clamps, seen from {top.strips[-1].label}'s edge"
    s.text(s.left, s.y + 4, name, bold=True)
    s.text(s.left + wide(name, bold=True) + 4, s.y + 4, ", ".join(filter(None, told)))
    with view(s, "clamps", x, s.y + 10, k) as v:
        v.rect("outline", low, 0, high - low, thickness)
        for places, side, face in ((glue.above, -1, 0), (glue.below, 1, thickness)):
            for at in places:
                px, py = v.at(start + at, face)
                tip = py + 0.5 * side
                foot = ((px, tip), (px - 1.5, tip + 2.8 * side), (px + 1.5, tip + 2.8 * side))
                s.line("narrow", *foot, close=True, fill=side < 0)
            for at in glue.cauls:
                px, py = v.at(start + at, face)
                near, far = py + 0.4 * side, py + 2 * side
                s.line("narrow", (px - 2, near), (px + 2, near), (px + 2, far), (px - 2, far), close=True)
        places = (*glue.above, *glue.below)
        v.running(places, thickness, 8, datum=start, gap=4, step="about")
        s.y = v.at(0, thickness)[1] + 12 + s.row(places, k, "about").reach


def end_view(s: Sheet, top: Top, glue: GlueUp, thickness: int, *, widths: bool) -> None:
    """Draw the left end: rings of each strip, slots hidden at the height of their row; widths where asked."""
    seams, t, slots = top.seams, thickness, glue.slots
    rows = slots.rows if slots else ()
    beside = 12 + max(wide(size(each, s.unit, "joint")) for each in (*rows, t))
    k = s.scale(seams[-1] - seams[0], s.room - max(beside, 0 if s.paper.compact else 32))
    s.heading("Left end, show face up: how the rings lie", k)
    with view(s, "end", s.left + (1 if s.paper.compact else 6), s.y + 11, k) as v:
        v.x -= v.at(seams[0], 0)[0] - v.x
        narrowest = min(strip.width for strip in top.strips) / MM / k
        letters = max(wide(strip.label, bold=True) for strip in top.strips)
        font = TEXT if letters + 0.5 < narrowest else SMALL
        for strip, (a, b) in zip(top.strips, pairwise(seams), strict=True):
            v.rect("outline", a, 0, b - a, t, what="strip")
            x, y = v.at((a + b) / 2, 0)
            s.text(x, y - 1.5, strip.label, anchor="middle", bold=True, font=font)
            for share in (0.28, 0.53, 0.78) if strip.rings else ():
                arc = _ring((a, b), t, share, up=strip.rings == "up")
                if len(arc) > 1:
                    v.line("narrow", *arc)
        for seam in seams[1:-1] if slots else ():
            for row in rows:
                assert slots is not None
                v.rect(
                    "hidden",
                    seam - slots.into,
                    row - slots.thick / 2,
                    2 * slots.into,
                    slots.thick,
                    what="slot",
                )
        v.running([*rows, t], seams[-1], 4, upright=True, step="joint")
        lower = max(v.at(0, t)[1] + 5, v.y + PACE * (len(rows) + 1) + 2)
        s.y = _widths(v, top, t) if widths else lower
        s.y = max(s.y, lower)


def _widths(v: View, top: Top, t: int) -> float:
    """Write the width of each strip below it, turned where it is narrow; return where the words end."""
    words = [size(strip.width, v.s.unit, "joint") for strip in top.strips]
    turned = any(
        wide(each, SMALL) + 1 > strip.width / MM / v.k for each, strip in zip(words, top.strips, strict=True)
    )
    y = v.at(0, t)[1]
    for each, (a, b) in zip(words, pairwise(top.seams), strict=True):
        x = v.at((a + b) / 2, 0)[0]
        if turned:
            v.s.text(x + 0.33 * SMALL, y + 1.5, each, anchor="end", turn=-90, font=SMALL)
        else:
            v.s.text(x, y + 3.6, each, anchor="middle", font=SMALL)
    return y + (max(wide(each, SMALL) for each in words) + 3 if turned else 6)


def _ring(sides: Point, t: float, share: float, *, up: bool) -> list[Point]:
    """Return a circle round the heart, as far as it lies in the strip; hollow upward where the heart is
    up.
    """
    broad, middle = sides[1] - sides[0], sum(sides) / 2
    away = 0.6 * broad
    steps = [0.46 * broad * n / 16 for n in range(-16, 17)]
    depths = ((aside, sqrt(max(0.0, (away + share * t) ** 2 - aside**2)) - away) for aside in steps)
    return [(middle + x, d if up else t - d) for x, d in depths if 0.05 * t <= d <= 0.95 * t]


def channel(s: Sheet, top: Top, made: Channels, thickness: int) -> None:
    """Draw a channel with its slots from below, and a section through it and its recess beside or below
    it.
    """
    below, unit = s.paper.width < 150, s.unit
    k = s.scale(made.long, s.room - (18 if below else 92))
    told = " × ".join(size(each, unit) for each in (made.wide, made.deep, made.wall))
    s.heading("Channel from below" if below else f"Channel {told} from below", k)
    places = [*(bolt.at for bolt in made.bolts), made.long]
    with view(s, "channel", s.left + 4, s.y + 13 + s.row(places, k, "joint").reach, k) as v:
        v.rect("outline", 0, 0, made.long, made.wide, what="channel")
        for b in (made.wall, made.wide - made.wall):
            v.line("narrow", (0, b), (made.long, b))
        for bolt in made.bolts:
            v.slot("outline", bolt.at, made.wide / 2, bolt.slot, made.bolt)
        v.running(places, 0, -6, step="joint")
        foot = v.at(0, made.wide)[1]
        middle = made.bolts[len(made.bolts) // 2]
        half = made.wide / 2 + made.bolt / 2
        for bolt, level in ((made.bolts[0], 9.5), (middle, 4.5)):
            x, y = v.at(bolt.at, half)
            hole = f"⌀ {size(made.bolt, unit, 'joint')}"
            words = f"round, {hole}" if bolt is middle else f"slots {_slots_told(made, unit)}"
            s.leader((x, y), (x + 5, foot + level), words)
        lower = foot + 14
    if below:
        s.y = _recess(s, top, made, thickness, s.left + 15, lower)
    else:
        s.y = max(lower, _recess(s, top, made, thickness, s.right - 66, s.y))


def _slots_told(made: Channels, unit: str) -> str:
    """Return the lengths of the slots from the outer one inward, and their width."""
    lengths = dict.fromkeys(size(bolt.slot, unit, "joint") for bolt in made.bolts[: len(made.bolts) // 2])
    return f"{', '.join(lengths)} × {size(made.bolt, unit, 'joint')}"


def _recess(s: Sheet, top: Top, made: Channels, t: int, x: float, y: float) -> float:
    """Draw the section through a channel in the middle of its recess; return where it ends on the sheet."""
    k = s.scale(t, 22, high=22)
    s.heading("Across a channel, underside down", k, x=x - 12, y=y)
    full, a = 1.7 * made.recess_wide, 0.35 * made.recess_wide
    with view(s, "recess", x, y + 9, k) as v:
        middle, floor, hole = full / 2, t - made.recess_middle, 0.75 * made.bolt
        bored = [
            (middle + hole, floor),
            (middle + hole, floor - made.insert),
            (middle - hole, floor - made.insert),
        ]
        wall = [
            (a + made.recess_wide, t),
            (a + made.recess_wide, floor),
            *bored,
            (middle - hole, floor),
            (a, floor),
        ]
        shape: list[Point] = [(full, 0), (full, t), *wall, (a, t), (0, t), (0, 0)]
        v.hatch(shape)
        v.line("outline", shape[-1], shape[0])
        v.line("outline", *shape[1:-1])
        for edge in (0, full):
            v.line("narrow", (edge, 0), (edge, t))
        v.line("fine", *steel(made, middle, t), close=True, fill=True)
        v.line("centre", (middle, -0.1 * t), (middle, 1.04 * t))
        v.dim((a, t), (a + made.recess_wide, t), 7, step="joint")
        v.dim((0, floor), (0, t), -5, step="joint")
        v.dim((full, floor - made.insert), (full, floor), 5, lead="insert ", step="joint")
        return v.at(0, t)[1] + 13


def corners(s: Sheet, top: Top, made: Ends, x: float, y: float) -> float:
    """Draw the corner of end and panel in the dry and in the humid season; return where they end on the
    sheet.
    """
    k = s.scale(IN, 25.4) if not s.paper.compact else 1
    s.heading("Corner over the year", k, x=x, y=y)
    y += 9
    for season, reveal in (("dry season", made.dry), ("humid season", made.humid)):
        with view(s, "corner", x + 18, y, k) as v:
            high, back = 0.35 * IN, -0.6 * IN
            end, panel = (0, -reveal)
            v.line("outline", (back, 0), (end, 0), (end, high), (back, high))
            v.line("outline", (end, high), (panel, high), (panel, 2 * high))
            beyond = v.at(max(end, panel), 0)[0] + 2.5
            s.text(beyond, v.at(0, high / 2)[1] + 1.3, f"end, {season}")
            flush = abs(reveal) < SEEN
            s.text(beyond, v.at(0, 1.5 * high)[1] + 1.3, "panel, flush" if flush else "panel")
            lower = v.at(0, 2 * high)[1]
            if not flush:
                v.dim((min(end, panel), 2 * high), (max(end, panel), 2 * high), 4, step="joint")
                lower += 7
        y = lower + 3
    return y + 2


def peg_slots(s: Sheet, top: Top, made: Ends, x: float, y: float) -> float:
    """Draw each different slot of a peg in the tongue, from the edge to the middle; return where they end."""
    longest = max(peg.slot for peg in made.pegs)
    k = s.scale(longest, 22, made.peg, 14)
    k = max(k, 1) if not s.paper.compact else k
    s.heading("Slots in the tongue", k, x=x, y=y)
    half = made.pegs[: len(made.pegs) // 2 + 1]
    for peg in half:
        alike = [other.at for other in made.pegs if other.at + peg.at == top.width or other is peg]
        with view(s, "slot", x + 14, y + 9 + made.peg / MM / k / 2, k) as v:
            v.slot("outline", 0, 0, peg.slot, made.peg)
            if not peg.round:
                v.slot("narrow", peg.inner - peg.slot / 2, 0, 0.9 * made.peg, 0.9 * made.peg)
            v.dim((-peg.slot / 2, made.peg / 2), (peg.slot / 2, made.peg / 2), 5, step="joint")
            places = " and ".join(size(at, s.unit) for at in sorted(alike))
            how = (
                "round"
                if peg.round
                else "peg nearer the middle"
                if peg.inner < peg.slot / 2
                else "peg nearer the edge"
            )
            s.text(v.at(peg.slot / 2, 0)[0] + 4, v.y - 0.6, f"at {places}")
            s.text(v.at(peg.slot / 2, 0)[0] + 4, v.y + 3.6, how, font=SMALL)
            y = v.at(0, made.peg / 2)[1] + 3
    return y + 5


def through_peg(s: Sheet, top: Top, made: Ends, t: int, room: float | None = None) -> None:
    """Draw the section through a peg: end, tongue in its mortise, and the panel."""
    words = f"peg ⌀ {size(made.peg, s.unit, 'joint')}"
    beside = 8 + wide(size(made.tongue_thick, s.unit, "joint"))
    u, d = (t - made.tongue_thick) / 2, (t + made.tongue_thick) / 2
    w, past = made.wide, int(1.2 * IN)
    k = s.scale(w + past, (room or s.room) - beside - 8 - wide(words), t, 40)
    s.heading("Section through a peg", k)
    with view(s, "joint", s.left + beside, s.y + 15, k) as v:
        peg, floor, tongue = w - made.pegs_in, w - made.mortise_deep, w - made.tongue_deep
        end: list[Point] = [(0, 0), (w, 0), (w, u), (floor, u), (floor, d), (w, d), (w, t), (0, t)]
        panel: list[Point] = [
            (w + past, 0),
            (w, 0),
            (w, u),
            (tongue, u),
            (tongue, d),
            (w, d),
            (w, t),
            (w + past, t),
        ]
        for shape, lean in ((end, -1), (panel, 1)):
            v.hatch(shape, lean, between=(-1e12, peg - made.peg / 2))
            v.hatch(shape, lean, between=(peg + made.peg / 2, 1e12))
        v.line("outline", *end, close=True)
        v.line("outline", *panel)
        v.line("narrow", panel[0], panel[-1])
        v.rect("outline", peg - made.peg / 2, 0, made.peg, t)
        v.dim((0, 0), (w, 0), -5, step="joint")
        v.dim((peg, t), (w, t), 5, step="joint", lead="peg ")
        v.dim((tongue, t), (w, t), 11, step="joint", lead="tongue ")
        v.dim((floor, t), (w, t), 17, step="joint", lead="mortise ")
        v.dim((0, u), (0, d), -5, step="joint")
        s.leader(v.at(peg, t * 0.9), (v.at(w + past, 0)[0] + 3, v.at(0, t * 0.9)[1] - 2), words, face=True)
        s.y = v.at(0, t)[1] + 22
