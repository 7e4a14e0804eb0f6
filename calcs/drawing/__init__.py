"""A layout drawn to scale: strips, slots, clamps, stiffeners, trim and dimensions, as one SVG."""

from __future__ import annotations

from collections.abc import Sequence

from calcs.clamping import ClampAt
from calcs.drawing.end_view import draw_end
from calcs.drawing.key import draw_key
from calcs.drawing.marks import Marked
from calcs.drawing.plan import draw_plan
from calcs.drawing.svg import LEFT, LINE, Sheet
from calcs.joinery import Joinery
from calcs.layout import Layout, StripLayout
from calcs.recesses import Recess

__all__ = ["drawing"]


def drawing(
    layout: Layout,
    *,
    asked: StripLayout,
    joints: Joinery | None = None,
    stiffeners: Sequence[Recess] = (),
    clamps: Sequence[ClampAt] = (),
    cauls_at_len: Sequence[int] = (),
    breadboard_len: int = 0,
    thickness_len: int | None = None,
    title: str = "",
) -> str:
    """Draw a layout: the show face, its left end at a larger scale, and a key.

    Parameters
    ----------
    layout, asked : Layout, StripLayout
        The strips, and what they were worked out from.
    joints : Joinery, optional
        Slots; its thickness is drawn.
    stiffeners : sequence of Recess
        Recesses in the underside, from the finished end and the left finished edge.
    clamps, cauls_at_len : sequence
        From the end of the blank [1/8 µm].
    breadboard_len : int
        Width of breadboard ends [1/8 µm]; 0 for none.
    thickness_len : int, optional
        Thickness where no slots are given [1/8 µm].
    title : str
        Put before the words that a screen reader reads.

    Returns
    -------
    str
        An SVG element with a ``viewBox`` and no size of its own. It takes the colour of the text round it,
        holds no script, no style sheet, no address and no id, and nothing on the board leaves its outline.

    Raises
    ------
    OutOfRange
        If something would lie outside the board, naming it.
    """
    marked = Marked(
        layout=layout,
        asked=asked,
        joints=joints,
        stiffeners=tuple(stiffeners),
        clamps=tuple(clamps),
        cauls_at_len=tuple(cauls_at_len),
        breadboard_len=breadboard_len,
        thickness_len=thickness_len,
    )
    what = f"{layout.count} strips" if layout.count > 1 else "One strip"
    heading = f"{what}, show face up"
    sheet = Sheet(f"{title}: {heading}" if title else heading)
    sheet.text(LEFT, LINE, heading, bold=True)
    sheet.bottom = LINE
    draw_plan(sheet, marked)
    draw_end(sheet, marked)
    draw_key(sheet, marked)
    sheet.bottom += 12
    return sheet.finish()
