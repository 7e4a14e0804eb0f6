"""Key of the drawing: the meaning of its signs, and the sizes that do not fit beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from calcs.drawing.marks import Marked
from calcs.drawing.svg import LEFT, LINE, Sheet, lines, size_words

SIGN, HIGH = 36, 24


@dataclass(frozen=True, kw_only=True)
class Sign:
    """An entry of the key: its sign as a separate SVG element, empty where it has none, and its words."""

    svg: str
    words: str


def signs(marked: Marked) -> list[Sign]:
    """Return the key, for a page that sets it in its own type."""
    return [Sign(svg=_alone(kind) if kind else "", words=words) for kind, words in _entries(marked)]


def _alone(kind: str) -> str:
    """Return one sign as an SVG element."""
    sheet = Sheet("")
    sheet.root.remove(sheet.root[0])
    del sheet.root.attrib["role"]
    sheet.root.attrib |= {"class": "sign", "aria-hidden": "true"}
    _sign(sheet, kind, HIGH / 2)
    return sheet.finish(f"{LEFT - 2} 0 {SIGN + 4} {HIGH}")


def draw_key(sheet: Sheet, marked: Marked) -> None:
    """Draw the entries one under the other, each with its sign."""
    sheet.bottom += 6
    for kind, words in _entries(marked):
        middle = sheet.bottom + LINE - 7
        left = LEFT
        if kind:
            _sign(sheet, kind, middle)
            left += SIGN + 12
        for text in lines(words, left):
            sheet.bottom += LINE
            sheet.text(left, sheet.bottom, text)
        sheet.bottom += 6


def _sign(sheet: Sheet, kind: str, y: float) -> None:
    """Draw the sign of a kind of mark at a height."""
    left, right = LEFT, LEFT + SIGN
    if kind == "witness":
        sheet.line([(left + 6, y - 9), (right - 6, y), (left + 6, y + 9), (left + 6, y - 9)], kind)
    elif kind == "planing":
        sheet.line([(left, y), (right, y)], kind)
        sheet.line([(right - 9, y - 6), (right, y), (right - 9, y + 6)], kind)
    elif kind in ("ring", "ring open"):
        bend = ((0, -5), (9, 1), (18, 3), (27, 1), (36, -5))
        sheet.line([(left + x, y + down) for x, down in bend], kind)
    elif kind in ("slot", "stiffener", "breadboard"):
        box = [(left, y - 6), (right, y - 6), (right, y + 6), (left, y + 6), (left, y - 6)]
        sheet.line(box, kind)
    else:
        sheet.line([(left, y), (right, y)], kind)


def _entries(marked: Marked) -> Iterator[tuple[str, str]]:
    """Yield kind and words of every entry of the key."""
    layout = marked.layout
    yield "", _widths(marked)
    yield "", f"Glued up {size_words(layout.blank_len)} × {size_words(layout.sum_len)}"
    yield "trim", _trim(marked)
    if layout.count > 1:
        yield "witness", "witness triangle over all joints"
    yield "planing", "plane this way, with the grain"
    rings = {strip.rings for strip in layout.strips}
    if rings & {"heart side up", "heart side down"}:
        yield "ring", f"year rings: {' and '.join(sorted(rings, reverse=True))}"
    else:
        yield "ring open", "year rings as they fall, best face up"
    yield from _marks(marked)


def _marks(marked: Marked) -> Iterator[tuple[str, str]]:
    """Yield kind and words of slots, breadboards, recesses, clamps and cauls."""
    joints = marked.joints
    if joints is not None:
        places = ", ".join(size_words(at) for at in joints.positions_len)
        rows = " and ".join(size_words(row) for row in joints.rows_len)
        end = "end of the tongue" if marked.asked.end_wide_len else "finished end"
        told = f"{joints.joiner}, {joints.pieces} in all, {rows} from the show face; middles from the {end}"
        yield "slot", f"{told}: {places}"
    if marked.asked.end_wide_len:
        wide, deep = marked.asked.end_wide_len, marked.asked.tongue_deep_len
        yield (
            "breadboard",
            f"breadboard ends, {size_words(wide)} wide, tongue {size_words(deep)} into them",
        )
    for depth, group in groupby(marked.stiffeners, key=lambda each: each.depth_len):
        places = "; ".join(_reach(each.from_end_len, each.along_len) for each in group)
        yield (
            "stiffener",
            f"recess in the underside, {size_words(depth)} deep, from the finished end: {places}",
        )
    for side in ("above", "below"):
        count = sum(clamp.side == side for clamp in marked.clamps)
        if count:
            yield f"clamp {side}", _counted(count, f"clamp{{}} {side}")
    if marked.cauls_at_len:
        yield "caul", _counted(len(marked.cauls_at_len), "caul{}, above and below")


def _reach(begins: int, long: int) -> str:
    return f"{size_words(begins)} to {size_words(begins + long)}"


def _counted(count: int, what: str) -> str:
    return f"{count} {what.format('' if count == 1 else 's')}"


def _widths(marked: Marked) -> str:
    """Return the strips by width; neighbours alike share one entry."""
    told = []
    for width, group in groupby(marked.layout.strips, key=lambda strip: strip.width_len):
        labels = [strip.label for strip in group]
        which = labels[0] if len(labels) == 1 else f"{labels[0]}–{labels[-1]}"
        told.append(f"{which}\u00a0{size_words(width)}")
    return f"{'Strip' if marked.layout.count == 1 else 'Strips'} {'; '.join(told)}"


def _trim(marked: Marked) -> str:
    """Return the trim at ends and edges in words."""
    parts = []
    if marked.end_trim:
        what = " of the strips" if marked.asked.end_wide_len else ""
        parts.append(f"{size_words(marked.end_trim)} off each end{what}")
    if marked.edge_trim:
        parts.append(f"{size_words(marked.edge_trim)} off each edge")
    short = marked.layout.short_len
    if short:
        parts.append(f"{size_words(short)} too narrow")
    return f"finished outline: {', '.join(parts)}" if parts else "finished outline"
