"""Sheets of a top: client drawing, glue-up plan, underside, breadboard end. A `Top` in, SVG out.

Each sheet only places its views and their sizes. Views carry their scale as data, so that a test can
measure them.
"""

from __future__ import annotations

from collections.abc import Sequence

from calcs.drawing import bench_views, faces, sections
from calcs.drawing.faces import PANEL_SHOWN
from calcs.drawing.lines import MM, PHONE_WIDE, Block, Paper, size, wide
from calcs.drawing.notes import notes_of
from calcs.drawing.pen import Sheet
from calcs.drawing.top import Channels, Ends, GlueUp, Top, top_of
from calcs.drawing.view import View, view
from calcs.lumber.layout import Layout, StripLayout

VIEWS = ("client", "glue-up", "underside", "breadboard")
BLOCK_HIGH, MOST_SPARE = 37, 72
"""Room for frame and title block, and the most by which a main view is lowered to fit above them [mm]."""
TITLES = {
    "client": "Client drawing",
    "glue-up": "Glue-up plan",
    "underside": "Underside",
    "breadboard": "Breadboard end",
}


def views_of(top: Top) -> list[str]:
    """Return the sheets that apply to a top."""
    applies = {
        "client": True,
        "glue-up": len(top.strips) > 1 and top.glue is not None,
        "underside": top.channels is not None and top.thickness is not None,
        "breadboard": top.ends is not None and top.thickness is not None,
    }
    return [name for name in VIEWS if applies[name]]


def sheet(
    top: Top,
    name: str,
    paper: Paper,
    *,
    block: Block | None = None,
    notes: Sequence[str] = (),
    title: str = "",
) -> str | None:
    """Return a sheet of a top as SVG; None where it does not apply.

    Parameters
    ----------
    top : Top
    name : {"client", "glue-up", "underside", "breadboard"}
    paper : Paper
        Size and unit; a paper with a height gets a frame, and with ``block`` a title block.
    notes : sequence of str
        Short lines after its own, beside the title block or under the views.
    title : str
        Put before the words that a screen reader reads.
    """
    if name not in views_of(top):
        return None
    spare, s = 0, Sheet(paper)
    k = _draw(s, top, name)
    while paper.height and s.y > paper.height - BLOCK_HIGH and spare < MOST_SPARE:
        spare += 8
        s = Sheet(paper, spare)
        k = _draw(s, top, name)
    told = (*notes_of(top, name, paper), *notes)
    return s.finish(": ".join(filter(None, (title, TITLES[name].lower()))), k, told, block)


def _draw(s: Sheet, top: Top, name: str) -> float:
    """Draw the views of a sheet; return the scale of its main view."""
    if name == "glue-up" and top.glue:
        return _glue_up(s, top, top.glue)
    if name == "underside" and top.channels:
        return _underside(s, top, top.channels)
    return _breadboard(s, top, top.ends) if name == "breadboard" and top.ends else _client(s, top)


def _client(s: Sheet, top: Top) -> float:
    """Draw what the client approves: plan with grain, sections both ways, the edge, sizes with tolerances."""
    small = s.paper.compact
    off, tolerance = (6, 0) if small else (16, top.tolerance)  # on a phone its note tells the tolerance
    k = _beside(s, top, tolerance, 14 + off - (7 if small else 0), off)
    s.heading("Plan, show face up", k)
    x, y = s.left + (1 if small else 5), s.y + (15 if small else 19)
    with view(s, "plan", x, y, k) as v:
        faces.finished_face(v, top)
        v.dim((0, 0), (top.length, 0), -5 if small else -9.5, tolerance=tolerance, step="joint")
        v.dim(
            (top.length, 0),
            (top.length, top.width),
            6 if small else 16,
            tolerance=tolerance,
            step="joint",
        )
        if top.ends_wide:
            v.dim((0, top.width), (top.ends_wide, top.width), 5 if small else 9, step="joint")
        if not small and top.thickness:
            a = top.channels.at[len(top.channels.at) // 2] if top.channels else top.length // 2
            sections.cut(v, "A", (a, 0), (a, top.width))
            sections.cut(v, "B", (0, top.width * 0.25), (top.length, top.width * 0.25))
        s.y = v.at(0, top.width)[1] + (12 if top.ends_wide else 3 if small else 7)
    if top.thickness is None:
        return k
    if not small:
        s.heading("B–B", k)
        with view(s, "along", x, s.y + 6, k) as v:
            sections.along(v, top, top.thickness)
            s.y = v.at(0, top.thickness)[1] + 6
    sections.across_and_edge(s, top, top.thickness, x)
    return k


def _beside(s: Sheet, top: Top, tolerance: int, least: float, off: float) -> float:
    """Return the scale of a plan whose width stands beside it, level where it is too short for its words."""
    told = f" ±{size(tolerance, s.unit, 'joint')}" if tolerance else ""
    words = wide(size(top.width, s.unit, "joint") + told)
    k = s.scale(top.length, s.room - least, top.width)
    if words <= top.width / MM / k - 1:
        return k
    return s.scale(top.length, s.room - max(least, off + 5 + words), top.width)


def _glue_up(s: Sheet, top: Top, glue: GlueUp) -> float:
    """Draw what the bench lays out and clamps: strips, slots, sessions, clamps in a band below, rings at
    the end.
    """
    small = s.paper.compact
    start, (low, high) = top.panel[0], top.blank
    rounds = max((session.round for session in glue.sessions), default=0)
    beside = 4 + 6 * rounds + (0 if small else 10)
    edge, far = top.seams[0], top.seams[-1]
    k = s.scale(high - low, s.room - beside - 2, far - edge)
    slots = glue.slots.at if glue.slots else ()
    line = ", from the pencil line" if slots and not small else ""
    above = "" if faces.letter_size(View(s, 0, 0, k), top) else f", {top.strips[0].label} above"
    s.heading(f"Glue-up, show face up{above}{line}", k)
    x, reach = s.left + 1 - low / MM / k, s.row(slots, k, "joint").reach if slots else 0
    with view(s, "glue-up", x, s.y + 12 + reach - edge / MM / k, k) as v:
        faces.blank(v, top, glue)
        if slots:
            v.running(slots, edge, -6, step="joint", datum=start)
        widths = faces.strip_marks(v, top)
        room = faces.sessions(v, top, glue)
        if not small:
            v.dim((high, edge), (high, far), 7 + room, step="joint")
        s.y = v.at(0, far)[1] + 3
    if glue.above or glue.below:
        bench_views.clamps(s, top, glue, top.thickness or MM * 40, x, k)
    if top.thickness:
        bench_views.end_view(s, top, glue, top.thickness, widths=not widths)
    return k


def _underside(s: Sheet, top: Top, made: Channels) -> float:
    """Draw what is cut into the underside: recesses, channels, slots, inserts; turned so that left stays
    left.
    """
    small = s.paper.compact
    first = (top.width - made.long) / 2
    ends = () if small else ((top.width - made.recess_long) / 2, (top.width + made.recess_long) / 2)
    across = [*(first + bolt.at for bolt in made.bolts), *ends, top.width]
    beside = 18 + max(wide(size(each, s.unit)) for each in across)
    k = s.scale(top.length, s.room - beside, top.width)
    turned = f", strip {top.strips[-1].label} above" if len(top.strips) > 1 and not small else ""
    s.heading(f"Underside, left end still left{turned}", k)
    x = s.left + (1 if small else 5)
    with view(s, "underside", x, s.y + 12 + s.row(made.at, k).reach, k) as v:
        faces.under_face(v, top, made)
        v.running(made.at, 0, -6)
        last = v.running(across, top.length, 6, upright=True)
        s.y = max(v.at(0, top.width)[1] + 5, last + 4)
    assert top.thickness is not None
    bench_views.channel(s, top, made, top.thickness)
    return k


def _breadboard(s: Sheet, top: Top, made: Ends) -> float:
    """Draw one end above its panel: tongue, pegs with their slots, glue, and the gap of each season."""
    narrow = s.paper.width < 150
    beside = 12 + wide(size(made.wide, s.unit, "joint"))
    k = s.scale(max(top.width, made.long), s.room - (beside if narrow else 92), made.wide, 36)
    s.heading("Left end, turned a quarter, show face up", k)
    tongue, mortise = (top.width - made.tongue) / 2, (top.width - made.mortise) / 2
    places = [*(peg.at for peg in made.pegs), top.width]
    begun = s.y
    with view(s, "breadboard", s.left + 3, s.y + 12 + s.row(places, k, "joint").reach, k) as v:
        faces.end_face(v, top, made)
        v.running(places, 0, -6, step="joint")
        low, high = made.glued
        shoulder = made.wide
        v.dim((low, shoulder), (high, shoulder), 8, lead="glued ", step="joint", crowded=True)
        v.dim((tongue, shoulder), (tongue + made.tongue, shoulder), 20, lead="tongue ", step="joint")
        v.dim((mortise, shoulder), (mortise + made.mortise, shoulder), 27, lead="mortise ", step="joint")
        v.dim((top.width, 0), (top.width, made.wide), 5, step="joint")
        s.y = v.at(0, shoulder)[1] + PANEL_SHOWN + 4
        right = v.at(top.width, 0)[0] + 20
    assert top.thickness is not None
    if narrow:
        bench_views.through_peg(s, top, made, top.thickness)
        s.y = bench_views.corners(s, top, made, s.left, s.y)
        s.y = bench_views.peg_slots(s, top, made, s.left, s.y)
    else:
        bench_views.through_peg(s, top, made, top.thickness, right - s.left)
        lower = bench_views.corners(s, top, made, right, begun)
        s.y = max(s.y, bench_views.peg_slots(s, top, made, right, lower))
    return k


def thumbnail(top: Top, paper: Paper, *, title: str = "") -> str:
    """Return the face with its sizes and nothing else, for a quote."""
    s = Sheet(paper)
    k = s.scale(top.length, s.room - 12, top.width)
    with view(s, "plan", s.left + 0.5, s.y + 9, k) as v:
        faces.finished_face(v, top)
        v.dim((0, 0), (top.length, 0), -4, step="joint")
        v.dim((top.length, 0), (top.length, top.width), 5, step="joint")
        s.y = v.at(0, top.width)[1] + 1
    return s.finish(": ".join(filter(None, (title, "plan"))), 0)


def ornament(top: Top, width: float, *, title: str = "") -> str:
    """Return the face alone, without a size, for a card of this width [mm]."""
    s = Sheet(Paper(width=width, unit="mm"))
    with view(s, "plan", s.left, s.y, top.length / MM / s.room) as v:
        faces.finished_face(v, top)
        s.y = v.at(0, top.width)[1] + 1
    return s.finish(": ".join(filter(None, (title, "plan"))), 0)


def strips_drawn(asked: StripLayout, layout: Layout, unit: str) -> str | None:
    """Return the strips of a layout for a screen, with nothing else on them; one board as a plain face."""
    top = top_of(layout, asked)
    paper = Paper(width=PHONE_WIDE, unit=unit, compact=True)
    return sheet(top, "glue-up" if top.glue else "client", paper, title=f"{layout.count} strips")
