"""How high the drawing of a job sheet may be, so that a piece takes two pages.

Where it would be too small to read, it gets a page after them.
"""

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.safestring import SafeString

from jobs.documents.kit.layout import drawn

Made = Mapping[str, Any]
PAGE_MM = 253
"""Height of a letter page between its margins, less what an estimate may be wrong by [mm]; A4 has more."""
PAGES = 2
HEAD_MM, LINE_MM, ROW_MM, PART_MM = 34, 4.1, 5.4, 9
LEAST_MM, MOST_MM, STEP_MM = 60, 150, 3
READ_MM = 90
"""Height from which the words of a drawing are read at arm's length; for less the rest is set smaller."""
LEAST_SHARE = 0.6
"""Share of its size to which a drawing may shrink: letters of 2.5 mm are 1.5 mm high then."""
DENSE = 0.88
"""Share of the room that smaller letters take."""
LETTERS = {"look": 150, "half": 62, "third": 44, "whole": 145}
"""Letters of a line over the page, in half of it, in a third, and in notes over the page."""
SIZE = re.compile(r'width="([\d.]+)mm" height="([\d.]+)mm"')
RATIO = re.compile(r" \(1:[\d.]+\)")


def lay_out(made: Made) -> dict[str, Any]:
    """Return the drawing as high as two pages allow, and whether the rest takes smaller letters for it.

    Where that is too small to read, all drawings are ``apart``, as large as they are.
    """
    first, parts = _head(made), _parts(made)
    usual, dense = (_room(share * first, [share * part for part in parts]) for share in (1, DENSE))
    is_dense = usual < READ_MM
    room, found = dense if is_dense else usual, SIZE.search(made["drawing"])
    if not found or room >= LEAST_SHARE * float(found[2]):
        return {"is_dense": is_dense, "drawing": _fitted(made["drawing"], room), "apart": []}
    return {
        "is_dense": _pages(first, parts) > PAGES,
        "drawing": "",
        "apart": _on_a_page([made["drawing"], *made["more_drawings"]]),
    }


def _on_a_page(drawings: Sequence[str]) -> list[SafeString]:
    """Return the drawings as large as a page takes them together; else each as large as it is."""
    highs = [float(found[2]) for svg in drawings if (found := SIZE.search(svg))]
    share = min(1, (PAGE_MM - PART_MM - 4 * len(highs)) / sum(highs))
    if share < LEAST_SHARE:
        return [drawn(svg) for svg in drawings]
    return [_fitted(svg, math.floor(share * high)) for svg, high in zip(drawings, highs, strict=True)]


def _room(first: float, parts: Sequence[float]) -> int:
    """Return the greatest height of the drawing [mm] with which the parts fill no more than two pages."""
    heights = range(MOST_MM, LEAST_MM, -STEP_MM)
    return next((high for high in heights if _pages(first + high, parts) <= PAGES), LEAST_MM)


def _pages(used: float, parts: Sequence[float]) -> int:
    """Return how many pages the parts take after what is used of the first; no part is broken."""
    pages = 1
    for part in parts:
        if used + part > PAGE_MM:
            pages, used = pages + 1, 0
        used += part
    return pages if used <= PAGE_MM else pages + 1


def _fitted(svg: str, room: int) -> SafeString:
    """Return the drawing no higher than this [mm]; made smaller it names no ratio, and its bar stays true."""
    found = SIZE.search(svg)
    if not found:
        return drawn(svg)
    width, high = map(float, found.groups())
    share = min(1, room / high)
    smaller = SIZE.sub(f'width="{width * share:.2f}mm" height="{high * share:.2f}mm"', svg, count=1)
    return drawn(smaller if share == 1 else RATIO.sub("", smaller))


def _head(made: Made) -> float:
    """Return the height of the head and the warnings [mm]."""
    return HEAD_MM + _lines(" ".join(made["lookouts"]), "look")


def _cut(made: Made) -> float:
    """Return the height of the cut list with the slots [mm]."""
    slots = _block(made["slots"], "half") if made["slots"] else 0
    if not made["cut"]:
        return slots
    columns = made["cut"]["columns"]
    rows = PART_MM + ROW_MM * (1 + len(columns[0]))
    cutting = PART_MM + _lines(" ".join(" ".join(line) for line in made["cut"]["lines"]), "half")
    return max(rows, cutting + slots) if len(columns) == 1 else rows + max(cutting, slots)


def _parts(made: Made) -> list[float]:
    """Return the height of each part that comes after the drawing, in their order [mm]."""
    blocks, count = made["blocks"], len(made["blocks"])
    wide = "whole" if count == 1 else "half" if count == 2 else "third"
    coats, sessions = made["coats"], made["sessions"]
    cautions = max(
        (sum(len(c["title"] + c["text"]) + 25 for c in column) for column in made["cautions"]), default=0
    )
    checked = 8 * len(made["checks"]) + sum(
        len(stage["title"])
        + 8
        + sum(len(one["title"] + one["allowed"]) + 12 * one["write"] for one in stage["checks"])
        for stage in made["checks"]
    )
    noted = _lines(" ".join(coats["notes"]), "whole")
    return [
        _cut(made),
        _block(made["ends"], "half") if made["ends"] else 0,
        max((_block(block, wide) for block in blocks), default=0),
        PART_MM + 10 + ROW_MM * (1 + len(sessions["rows"])),
        PART_MM + 8 + LINE_MM + ROW_MM * (1 + len(coats["rows"])) + noted,
        PART_MM + LINE_MM * checked / 3 / LETTERS["third"],
        PART_MM + 3.6 * cautions / LETTERS["third"],
        19,
    ]


def _block(block: Any, wide: str) -> float:
    letters = LETTERS[wide] - 12
    lines = sum(1 + len(text) // letters for _, text in block.lines)
    return PART_MM + LINE_MM * lines + _lines(" ".join(block.notes), wide)


def _lines(text: str, wide: str) -> float:
    return LINE_MM * -(-len(text) // LETTERS[wide])
