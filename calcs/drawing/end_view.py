"""Left end of the board, show face up: rings, joiners and recesses in the thickness."""

from __future__ import annotations

from math import sqrt

from calcs.drawing.marks import Marked
from calcs.drawing.plan import beside
from calcs.drawing.svg import LEFT, LINE, ROOM, Sheet, View, every
from calcs.kit.units import inches
from calcs.lumber.layout import Strip

HIGHEST = 110
NOT_TOLD_LEN = inches("7/4")
STEPS = 16
LETTERS_ROOM = 22


def draw_end(sheet: Sheet, marked: Marked) -> None:
    """Draw the end of the blank seen from its left end, at a larger scale."""
    layout = marked.layout
    thick = marked.thickness or NOT_TOLD_LEN
    scale = min(ROOM / layout.sum_len, HIGHEST / thick)
    sheet.text(LEFT, sheet.bottom + LINE, _heading(marked), bold=True)
    top = sheet.bottom + 2 * LINE + 14
    view = View(sheet, "end", top=top, size=(layout.sum_len, thick), scale=scale)
    letters = len(layout.strips[-1].label)
    step = every(layout.sum_len / layout.count * scale, layout.count, room=LETTERS_ROOM * letters)
    for index, strip in enumerate(layout.strips):
        kind = "strip dark" if index % 2 else "strip"
        view.rect(strip.left_len, 0, strip.width_len, thick, kind)
        _rings(view, strip, thick)
        if index % step == 0:
            middle = view.x(strip.left_len + strip.width_len / 2)
            sheet.text(middle, top - 8, strip.label, anchor="middle", bold=True)
    _inside(view, marked, thick)
    view.rect(0, 0, layout.sum_len, thick, "outline")
    if marked.thickness:
        beside(sheet, view.left + view.wide + 16, top + view.high / 2, thick)
    sheet.bottom = top + max(view.high, LINE + 8) + 10


def _heading(marked: Marked) -> str:
    """Return the heading of the end view."""
    told = "" if marked.thickness else ", thickness not known"
    return f"Left end, larger, show face up{told}"


def _inside(view: View, marked: Marked, thick: int) -> None:
    """Draw recesses, slots and trim in the thickness."""
    for each in marked.stiffeners:
        across = marked.width - each.from_edge_len if each.across_len is None else each.across_len
        left = marked.edge_trim + each.from_edge_len
        view.rect(left, thick - each.depth_len, across, each.depth_len, "stiffener")
    joints = marked.joints
    if joints is not None:
        for place in marked.joint_places:
            for row in joints.rows_len:
                view.rect(
                    place - joints.depth_len,
                    row - joints.thick_len / 2,
                    2 * joints.depth_len,
                    joints.thick_len,
                    "slot",
                )
    if marked.edge_trim:
        for x in (marked.edge_trim, marked.edge_trim + marked.width):
            view.path([(x, 0), (x, thick)], "trim")


def _rings(view: View, strip: Strip, thick: int) -> None:
    """Draw the year rings of a strip: hollow upwards where the heart is up, both ways and dotted where
    unknown.
    """
    if strip.width_len * view.scale < 8:
        return
    known = strip.rings.startswith("heart")
    ways = (strip.rings == "heart side up",) if known else (True, False)
    for heart_up in ways:
        for share in (0.3, 0.55, 0.8) if known else (0.72,):
            points = _arc(strip, thick, share, heart_up=heart_up)
            if len(points) > 1:
                view.path(points, "ring" if known else "ring open")


def _arc(strip: Strip, thick: int, share: float, *, heart_up: bool) -> list[tuple[float, float]]:
    """Return a circle round the heart, outside the board, as far as it lies in the strip."""
    away = 0.6 * strip.width_len
    radius = away + share * thick
    middle = strip.left_len + strip.width_len / 2
    points = []
    for step in range(-STEPS, STEPS + 1):
        aside = 0.46 * strip.width_len * step / STEPS
        depth = sqrt(max(0.0, radius**2 - aside**2)) - away
        if 0.04 * thick <= depth <= 0.96 * thick:
            points.append((middle + aside, depth if heart_up else thick - depth))
    return points
