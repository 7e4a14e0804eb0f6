"""Drawing of a layout to scale: strips, slots, clamps, stiffeners, trim and dimensions, as one SVG."""

from __future__ import annotations

from calcs.drawing.end_view import draw_end
from calcs.drawing.key import Sign, draw_key, signs
from calcs.drawing.marks import Marked
from calcs.drawing.plan import draw_plan
from calcs.drawing.svg import LEFT, LINE, Sheet
from calcs.lumber.layout import Layout, StripLayout

__all__ = ["Marked", "Sign", "draw", "drawing", "signs"]


def drawing(layout: Layout, *, asked: StripLayout, title: str = "") -> str:
    """Draw the strips of a layout alone, with their key; arguments and answer as `draw`."""
    return draw(Marked(layout=layout, asked=asked), title=title)


def draw(marked: Marked, *, title: str = "", with_key: bool = True) -> str:
    """Draw a layout: the show face, its left end at a larger scale, and a key.

    Parameters
    ----------
    marked : Marked
        The strips and what goes on them.
    title : str
        Put before the words that a screen reader reads.
    with_key : bool
        False where the key is beside the drawing, as `signs` gives it.

    Returns
    -------
    str
        An SVG element with a ``viewBox`` and no size. It takes the colour of the text round it. It holds no
        script, style sheet, address or id, and nothing on the board leaves its outline.
    """
    count = marked.layout.count
    what = f"{count} strips" if count > 1 else "One strip"
    heading = f"{what}, show face up"
    sheet = Sheet(f"{title}: {heading}" if title else heading)
    sheet.text(LEFT, LINE, heading, bold=True)
    sheet.bottom = LINE
    draw_plan(sheet, marked)
    draw_end(sheet, marked)
    if with_key:
        draw_key(sheet, marked)
    sheet.bottom += 12
    return sheet.finish()
