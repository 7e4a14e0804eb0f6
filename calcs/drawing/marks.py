"""Marks on a sheet: lines, circles, slots and words in millimeters, before they become SVG or DXF."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.drawing.lines import TEXT

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Line:
    """A line through points; ``kind`` is one of `calcs.drawing.lines.LINES`, ``what`` what it shows."""

    kind: str
    points: tuple[Point, ...]
    fill: bool = False
    what: str = ""


@dataclass(frozen=True, kw_only=True)
class Circle:
    """A circle round a point."""

    kind: str
    middle: Point
    radius: float
    fill: bool = False
    what: str = ""


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A slot with round ends along the sheet, by its middle."""

    kind: str
    middle: Point
    long: float
    high: float
    what: str = ""


@dataclass(frozen=True, kw_only=True)
class Words:
    """A line of text with its baseline at a point, turned by ``turn`` degrees."""

    at: Point
    words: str
    anchor: str = "start"
    turn: int = 0
    bold: bool = False
    font: float = TEXT


@dataclass(frozen=True, kw_only=True)
class Group:
    """Begins what belongs together: a view, a size. ``told`` is what a test measures it by."""

    name: str
    told: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, kw_only=True)
class End:
    """Ends a group."""


Mark = Line | Circle | Slot | Words | Group | End
