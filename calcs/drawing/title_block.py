"""Frame and title block of a sheet: ISO 7200:2004, 180 mm wide in the lower right corner (from memory)."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Protocol

from calcs.drawing.lines import TEXT, UNITS, Block, Paper, ratio
from calcs.drawing.marks import Point

WIDE, ROW, NAME = 180, 8, 2.4
LEFT, OTHERS = 20, 10
"""Margins: ISO 5457:1999 has 20 mm at the left and 10 mm elsewhere (from memory); letter paper takes the
same.
"""
NOTE, NOTE_LINE, NOTE_LETTER = 3.1, 4.1, 0.52


class Pen(Protocol):
    """Pen that draws on the sheet."""

    paper: Paper

    def line(self, kind: str, *points: Point, close: bool = False) -> None:
        """Draw a line."""

    def text(self, x: float, y: float, words: str, *, bold: bool = False, font: float = TEXT) -> None:
        """Write words."""

    def bar(self, x: float, y: float, k: float) -> None:
        """Draw a bar to measure by."""


def draw_block(pen: Pen, block: Block | None, k: float, notes: Sequence[str]) -> None:
    """Draw the frame, the title block, and notes and a bar at its left."""
    paper = pen.paper
    right, bottom = paper.width - OTHERS, (paper.height or 0) - OTHERS
    pen.line("outline", (LEFT, OTHERS), (right, OTHERS), (right, bottom), (LEFT, bottom), close=True)
    left, top = right - WIDE, bottom - 3 * ROW
    for n, row in enumerate(_rows(block, k, paper.unit) if block else ()):
        x, y = float(left), top + n * ROW
        for name, value, wide in row:
            pen.line("narrow", (x, y), (x + wide, y), (x + wide, y + ROW), (x, y + ROW), close=True)
            pen.text(x + 1, y + 2.8, name, font=NAME)
            font = min(TEXT, (wide - 2) / 0.6 / max(1, len(value)))
            pen.text(x + 1, y + 6.7, value, font=font, bold=name == "Title")
            x += wide
    if block:
        pen.line("outline", (left, bottom), (left, top), (right, top))
    lines = [line for note in notes for line in wrap(note, int((left - LEFT - 3) / NOTE / NOTE_LETTER))]
    for n, line in enumerate(lines):
        pen.text(LEFT + 2, top + 4 + NOTE_LINE * n, line, font=NOTE)
    pen.bar(LEFT + 2, bottom - 3, k)


def _rows(block: Block, k: float, unit: str) -> tuple[tuple[tuple[str, str, int], ...], ...]:
    """Return the fields of the block: name, value and width [mm]."""
    return (
        (("Legal owner", block.legal_owner, 74), ("Creator", block.creator, 34),
         ("Approval person", block.approval_person, 38), ("Date of issue", block.date_of_issue, 34)),
        (("Title", block.title, 58), ("Supplementary title", block.supplementary_title, 50),
         ("Document type", block.document_type, 38), ("Document status", block.document_status, 34)),
        (("Material", block.material, 40), ("General tolerance", block.tolerance, 26),
         ("Scale, unit", f"{ratio(k)}, {UNITS[unit]}", 42),
         ("Identification number", block.identification_number, 38), ("Rev.", block.revision_index, 11),
         ("Sheet", block.sheet, 12), ("Lang.", block.language_code, 11)),
    )  # fmt: skip
