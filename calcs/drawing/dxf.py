"""Templates of a top as DXF R12, full size: the lines of one view on a layer for each kind, nothing measured.

One unit of the file is 1 in or 1 mm; a line of words in the file says which. Lengths run right from the
left end, widths upward, so that what is drawn lies as on the bench.
"""

from __future__ import annotations

from io import StringIO
from itertools import pairwise
from typing import TYPE_CHECKING

from calcs.drawing import faces
from calcs.drawing.lines import MM, UNITS, Paper
from calcs.drawing.marks import Circle, Line, Mark, Slot, Words
from calcs.drawing.pen import Sheet
from calcs.drawing.sheets import TITLES, views_of
from calcs.drawing.top import Top
from calcs.drawing.view import view as view_of

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

LAYERS = {
    "outline": ("OUTLINE", "CONTINUOUS"),
    "narrow": ("NARROW", "CONTINUOUS"),
    "fine": ("NARROW", "CONTINUOUS"),
    "hidden": ("HIDDEN", "DASHED"),
    "centre": ("AXIS", "CENTER"),
    "area": ("GLUE", "CENTER"),
    "other": ("FINISHED", "PHANTOM"),
}
"""Layer and line type of each kind of line."""
WORDS, LETTER_HIGH = "WORDS", 8
"""Layer of letters and of the line that names the unit; height of letters [mm]."""


def dxf(top: Top, name: str, unit: str, *, title: str = "") -> str | None:
    """Return a view of a top as DXF R12, 1:1 in inches or millimeters; None where it does not apply.

    Parameters
    ----------
    top : Top
    name : {"client", "glue-up", "underside", "breadboard"}
        The finished face, the blank with its slots, the underside, or one breadboard end.
    unit : {"in", "mm"}
    title : str
        Put before the line that names the view and the unit.
    """
    if name not in views_of(top):
        return None
    from ezdxf.filemanagement import new  # it holds memory that pages do not need

    document = new("R12", setup=["linetypes"])
    document.units = 0  # R12 has no place for a unit
    for layer, linetype in dict(LAYERS.values()).items():
        document.layers.add(layer, linetype=linetype)
    document.layers.add(WORDS)
    per_mm = 1.0 if unit == "mm" else 1 / 25.4
    space = document.modelspace()
    for mark in (*_marks(top, name, unit), _named(top, name, unit, title)):
        _add(space, mark, per_mm)
    text = StringIO()
    document.write(text)
    return text.getvalue()


def _marks(top: Top, name: str, unit: str) -> list[Mark]:
    """Return the lines of a view in millimeters at full size."""
    s = Sheet(Paper(width=top.length / MM, unit=unit))
    with view_of(s, name, 0, 0, 1) as v:
        if name == "glue-up" and top.glue:
            faces.blank(v, top, top.glue)
            for strip, (upper, lower) in zip(top.strips, pairwise(top.seams), strict=True):
                x, y = v.at(top.panel[0], (upper + lower) / 2)
                s.text(x + LETTER_HIGH, y + LETTER_HIGH / 2, strip.label)
        elif name == "underside" and top.channels:
            faces.under_face(v, top, top.channels)
        elif name == "breadboard" and top.ends:
            faces.end_face(v, top, top.ends)
        else:
            faces.finished_face(v, top, grain=False)
    return s.marks


def _named(top: Top, name: str, unit: str, title: str) -> Words:
    """Return the line that names the view and the unit, below it."""
    says = ", ".join(filter(None, (title, TITLES[name], f"1:1 in {UNITS[unit]}")))
    return Words(at=(0, top.width / MM + 4 * LETTER_HIGH), words=says)


def _add(space: Modelspace, mark: Mark, per_mm: float) -> None:
    """Add a mark to the file; groups are not kept."""
    if isinstance(mark, Words):
        at = mark.at[0] * per_mm, -mark.at[1] * per_mm
        space.add_text(
            _plain(mark.words), height=LETTER_HIGH * per_mm, dxfattribs={"layer": WORDS, "insert": at}
        )
    elif isinstance(mark, Line):
        points = [(x * per_mm, -y * per_mm) for x, y in mark.points]
        closed = points[0] == points[-1] and len(points) > 2
        layer = {"layer": LAYERS[mark.kind][0]}
        space.add_polyline2d(points[:-1] if closed else points, close=closed, dxfattribs=layer)
    elif isinstance(mark, Circle):
        middle = mark.middle[0] * per_mm, -mark.middle[1] * per_mm
        space.add_circle(middle, mark.radius * per_mm, dxfattribs={"layer": LAYERS[mark.kind][0]})
    elif isinstance(mark, Slot):
        _add_slot(space, mark, per_mm)


def _add_slot(space: Modelspace, mark: Slot, per_mm: float) -> None:
    """Add a slot as one closed line with two half circles."""
    x, y, r = mark.middle[0] * per_mm, -mark.middle[1] * per_mm, mark.high * per_mm / 2
    half = (mark.long - mark.high) * per_mm / 2
    points = [(x - half, y - r, 0.0), (x + half, y - r, 1.0), (x + half, y + r, 0.0), (x - half, y + r, 1.0)]
    layer = {"layer": LAYERS[mark.kind][0]}
    space.add_polyline2d(points, format="xyb", close=True, dxfattribs=layer)


def _plain(words: str) -> str:
    """Return words with a sign in place of each letter that R12 cannot hold."""
    return words.encode("ascii", "replace").decode()
