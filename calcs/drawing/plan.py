"""Show face of the board, strips lying along the drawing."""

from __future__ import annotations

from calcs.drawing.marks import Marked
from calcs.drawing.svg import LEFT, LINE, ROOM, TEXT, WIDE, Sheet, View, every, size_lines, size_words
from calcs.kit.units import inches

HIGHEST = 620
BARS = tuple(inches(size) for size in (120, 60, 36, 24, 12, 6, 3, 2, 1, "1/2", "1/4"))


def draw_plan(sheet: Sheet, marked: Marked) -> None:
    """Draw strips, trim, witness triangle, planing arrows and all marks, with length and width."""
    layout = marked.layout
    scale = min(ROOM / marked.long, HIGHEST / layout.sum_len)
    top = sheet.bottom + 2 * LINE + 4
    size = (marked.long, layout.sum_len)
    view = View(sheet, "plan", top=top, size=size, scale=scale)
    _strips(sheet, view, marked)
    _under(view, marked)
    _on_top(view, marked)
    _witness(view, marked)
    view.rect(0, 0, marked.long, layout.sum_len, "outline")
    _length(sheet, view, marked)
    _width(sheet, view, marked)
    sheet.bottom = top + max(view.high, 2 * LINE) + 12
    _bar(sheet, scale)


def _strips(sheet: Sheet, view: View, marked: Marked) -> None:
    """Draw the strips with their labels."""
    layout = marked.layout
    step = every(layout.sum_len / layout.count * view.scale, layout.count)
    for index, strip in enumerate(layout.strips):
        kind = "strip dark" if index % 2 else "strip"
        view.rect(marked.blank_at, strip.left_len, layout.blank_len, strip.width_len, kind)
        middle = strip.left_len + strip.width_len / 2
        if index % step == 0:
            sheet.text(LEFT - 10, view.y(middle) + TEXT * 0.36, strip.label, anchor="end", bold=True)
            _arrow(view, marked, middle, strip.width_len)


def _arrow(view: View, marked: Marked, middle: float, width: int) -> None:
    """Draw the planing direction of a strip: with the grain, the same way on every strip."""
    long = min(64, 0.16 * view.wide) / view.scale
    head = min(6, 0.3 * width * view.scale) / view.scale
    tip = _clear(marked, long)
    barb = min(1.6 * head, 0.6 * long)
    view.path([(tip - long, middle), (tip, middle)], "planing")
    view.path([(tip - barb, middle - head), (tip, middle), (tip - barb, middle + head)], "planing")


def _clear(marked: Marked, long: float) -> float:
    """Return the tip of an arrow that crosses least in the right part of the board, from the left end."""
    begins = marked.finished_at
    clamped = (*(clamp.at_len for clamp in marked.clamps), *marked.cauls_at_len)
    across = [(marked.blank_at + at,) * 2 for at in clamped]
    across += [(begins + s.from_end_len, begins + s.from_end_len + s.along_len) for s in marked.stiffeners]
    right = begins + marked.asked.length_len - marked.asked.end_wide_len
    tips = [right - share * marked.layout.blank_len / 100 for share in range(2, 24)]
    return min(tips, key=lambda tip: sum(begin <= tip and end >= tip - long for begin, end in across))


def _under(view: View, marked: Marked) -> None:
    """Draw the recesses under the show face, and the slots in the joints."""
    begins, edges = marked.finished_at, marked.edge_trim
    for each in marked.stiffeners:
        across = marked.width - each.from_edge_len if each.across_len is None else each.across_len
        view.rect(begins + each.from_end_len, edges + each.from_edge_len, each.along_len, across, "stiffener")
    joints = marked.joints
    if joints is None:
        return
    for place in marked.joint_places:
        for at in joints.positions_len:
            left = marked.panel_at + at - joints.slot_len / 2
            view.rect(left, place - joints.depth_len, joints.slot_len, 2 * joints.depth_len, "slot")


def _on_top(view: View, marked: Marked) -> None:
    """Draw breadboards, finished outline, cauls and clamps."""
    layout, begins, edges = marked.layout, marked.finished_at, marked.edge_trim
    wide, length = marked.asked.end_wide_len, marked.asked.length_len
    for left in (begins, begins + length - wide) if wide else ():
        view.rect(left, edges, wide, marked.width, "breadboard")
    view.rect(begins, edges, length, marked.width, "trim")
    blank = marked.blank_at
    for at in marked.cauls_at_len:
        view.path([(blank + at, 0), (blank + at, layout.sum_len)], "caul")
    for clamp in marked.clamps:
        at = blank + clamp.at_len
        view.path([(at, 0), (at, layout.sum_len)], f"clamp {clamp.side}")


def _witness(view: View, marked: Marked) -> None:
    """Draw a triangle over all joints, its base from the first strip to the last, so that order shows at
    once.
    """
    strips = marked.layout.strips
    if len(strips) < 2:
        return
    first = strips[0].left_len + strips[0].width_len / 2
    last = strips[-1].left_len + strips[-1].width_len / 2
    long = min(last - first, 0.3 * marked.layout.blank_len)
    left = marked.blank_at + 0.42 * marked.layout.blank_len - long / 2
    view.path([(left, first), (left + long, (first + last) / 2), (left, last)], "witness", close=True)


def _length(sheet: Sheet, view: View, marked: Marked) -> None:
    """Draw the finished length with its dimension."""
    left, right = view.x(marked.finished_at), view.x(marked.finished_at + marked.asked.length_len)
    y = view.top - 14
    _measured(sheet, (left, y), (right, y))
    inch, metric = size_lines(marked.asked.length_len)
    words = f"{inch} ({metric})"
    half = len(words) * TEXT * 0.28
    middle = min(max((left + right) / 2, half), WIDE - half)
    sheet.text(middle, y - 10, words, anchor="middle")


def _width(sheet: Sheet, view: View, marked: Marked) -> None:
    """Draw the finished width with its dimension."""
    x = view.left + view.wide + 14
    top, bottom = view.y(marked.edge_trim), view.y(marked.edge_trim + marked.width)
    _measured(sheet, (x, top), (x, bottom))
    beside(sheet, x + 12, (top + bottom) / 2, marked.width)


def beside(sheet: Sheet, x: float, middle: float, length: int) -> None:
    """Write a size in two lines beside its dimension."""
    inch, metric = size_lines(length)
    sheet.text(x, middle - 4, inch)
    sheet.text(x, middle + LINE - 8, metric)


def _measured(sheet: Sheet, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Draw a dimension line with a stroke at both ends."""
    sheet.line([start, end], "dimension")
    upright = start[0] == end[0]
    for x, y in (start, end):
        sheet.line([(x - 6, y), (x + 6, y)] if upright else [(x, y - 6), (x, y + 6)], "dimension")


def _bar(sheet: Sheet, scale: float) -> None:
    """Draw the bar of the scale."""
    size = next((bar for bar in BARS if bar * scale <= 170), BARS[-1])
    y = sheet.bottom + 8
    for part in (0, 1):
        attributes = (LEFT + part * size * scale / 2, y, size * scale / 2, 6)
        _bar_part(sheet, attributes, filled=part == 0)
    sheet.text(LEFT + size * scale + 12, y + 10, f"{size_words(size)}, to scale")
    sheet.bottom = y + LINE


def _bar_part(sheet: Sheet, box: tuple[float, float, float, float], *, filled: bool) -> None:
    """Draw one half of the bar of the scale."""
    x, y, wide, high = box
    corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]
    sheet.line(corners, "bar" if filled else "dimension")
