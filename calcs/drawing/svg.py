"""Shapes and text of a drawing: plain SVG in the colour of the text round it, legible small and in print.

Every drawing is `WIDE` units wide. No text is smaller than `TEXT`, which is 10 px on a screen 360 px wide and
5 mm on paper where the drawing is 180 mm wide.
"""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import wrap
from xml.etree import ElementTree

from calcs.kit.units import both_units, format_length

WIDE = 720
TEXT = 20
LINE = 26
"""From one line of text to the next."""
LETTER = 11.8
"""Room for one letter, by a wide sans-serif."""
LEFT, RIGHT = 44, 150
"""Margins beside the views: labels of the strips, dimensions."""
ROOM = WIDE - LEFT - RIGHT

STYLES: dict[str, dict[str, str]] = {
    "outline": {"fill": "none", "stroke-width": "2.5"},
    "strip": {"fill": "currentColor", "fill-opacity": "0.05", "stroke-width": "1.2"},
    "strip dark": {"fill": "currentColor", "fill-opacity": "0.13", "stroke-width": "1.2"},
    "trim": {"fill": "none", "stroke-width": "1.5", "stroke-dasharray": "9 4 2 4"},
    "breadboard": {"fill": "currentColor", "fill-opacity": "0.18", "stroke-width": "1.5"},
    "stiffener": {
        "fill": "currentColor", "fill-opacity": "0.16", "stroke-width": "1.5", "stroke-dasharray": "5 3",
    },
    "slot": {"fill": "currentColor", "stroke": "none"},
    "clamp above": {"fill": "none", "stroke-width": "3", "stroke-opacity": "0.5"},
    "clamp below": {
        "fill": "none", "stroke-width": "3", "stroke-opacity": "0.5", "stroke-dasharray": "8 6",
    },
    "caul": {"fill": "none", "stroke-width": "6", "stroke-opacity": "0.3"},
    "witness": {"fill": "none", "stroke-width": "2.5", "stroke-linejoin": "round"},
    "planing": {"fill": "none", "stroke-width": "2", "stroke-linecap": "round", "stroke-linejoin": "round"},
    "ring": {"fill": "none", "stroke-width": "1.2", "stroke-opacity": "0.75", "stroke-linecap": "round"},
    "ring open": {"fill": "none", "stroke-width": "1.2", "stroke-opacity": "0.75", "stroke-dasharray": "2 4"},
    "dimension": {"fill": "none", "stroke-width": "1.2"},
    "bar": {"fill": "currentColor", "stroke-width": "1.2"},
}  # fmt: skip
"""Style of each kind of shape; the words of its name are classes too."""


class Sheet:
    """The whole drawing: a root that grows downwards."""

    def __init__(self, title: str) -> None:
        self.root = ElementTree.Element(
            "svg", {"xmlns": "http://www.w3.org/2000/svg", "class": "drawn", "role": "img"}
        )
        ElementTree.SubElement(self.root, "title").text = printable(title)
        self.body = ElementTree.SubElement(
            self.root,
            "g",
            {
                "stroke": "currentColor",
                "font-family": "system-ui, sans-serif",
                "font-size": str(TEXT),
            },
        )
        self.bottom = 0.0

    def text(self, x: float, y: float, words: str, *, anchor: str = "start", bold: bool = False) -> None:
        """Write one line of text with its baseline at ``y``."""
        attributes = {"x": number(x), "y": number(y), "fill": "currentColor", "stroke": "none"}
        if anchor != "start":
            attributes["text-anchor"] = anchor
        if bold:
            attributes["font-weight"] = "700"
        ElementTree.SubElement(self.body, "text", attributes).text = printable(words)

    def line(self, points: Iterable[tuple[float, float]], kind: str) -> None:
        """Draw a line through points of the drawing."""
        shape(self.body, path(points), kind)

    def finish(self, box: str = "") -> str:
        """Return the drawing as text: all of it, or the part in a box."""
        self.root.set("viewBox", box or f"0 0 {WIDE} {number(self.bottom)}")
        return ElementTree.tostring(self.root, encoding="unicode")


class View:
    """A board seen from one side: lengths from its corner [1/8 µm] become places of the drawing."""

    def __init__(self, sheet: Sheet, name: str, *, top: float, size: tuple[int, int], scale: float) -> None:
        self.left, self.top, self.size, self.scale = LEFT, top, size, scale
        self.group = ElementTree.SubElement(
            sheet.body, "g", {"class": f"view {name}", "data-scale": f"{scale:.9g}"}
        )

    def x(self, along: float) -> float:
        """Return the place across the drawing of a length from the left of the board."""
        return self.left + along * self.scale

    def y(self, down: float) -> float:
        """Return the place down the drawing of a length from the top of the board."""
        return self.top + down * self.scale

    @property
    def wide(self) -> float:
        """Return the width of the board in the drawing."""
        return self.size[0] * self.scale

    @property
    def high(self) -> float:
        """Return the height of the board in the drawing."""
        return self.size[1] * self.scale

    def rect(self, x: float, y: float, wide: float, high: float, kind: str) -> None:
        """Draw a rectangle, in lengths from the corner of the board."""
        attributes = {
            "x": number(self.x(x)),
            "y": number(self.y(y)),
            "width": number(wide * self.scale),
            "height": number(high * self.scale),
        }
        ElementTree.SubElement(self.group, "rect", attributes | _look(kind))

    def path(self, points: Iterable[tuple[float, float]], kind: str, *, close: bool = False) -> None:
        """Draw a line through points, in lengths from the corner of the board."""
        shape(self.group, path(((self.x(x), self.y(y)) for x, y in points), close=close), kind)


def shape(parent: ElementTree.Element, way: str, kind: str) -> None:
    """Draw a line or an area that follows a path."""
    ElementTree.SubElement(parent, "path", {"d": way} | _look(kind))


def path(points: Iterable[tuple[float, float]], *, close: bool = False) -> str:
    """Return the path through points, back to the first if closed."""
    places = " L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{places}{' Z' if close else ''}"


def number(value: float) -> str:
    """Return a place of the drawing as text, to a thousandth."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def printable(words: str) -> str:
    """Return text without characters that no drawing may hold."""
    return "".join(sign if sign.isprintable() else " " for sign in words)


def lines(words: str, left: float) -> list[str]:
    """Return text in lines that begin at ``left`` and end inside the drawing."""
    return wrap(words, int((WIDE - left) / LETTER), break_on_hyphens=False)


def size_words(length: int) -> str:
    """Return a length in both units that breaks over lines only between the units."""
    return both_units(length).replace(" ", "\u00a0").replace("\u00a0(", " (")


def size_lines(length: int) -> tuple[str, str]:
    """Return a length in inches, and in millimetres."""
    return format_length(length, "in"), format_length(length, "mm")


def every(space: float, count: int, *, room: float = LINE - 4) -> int:
    """Return the step at which labels ``space`` apart each have ``room``."""
    step = 1
    while count > step and space * step < room:
        step += 1
    return step


def _look(kind: str) -> dict[str, str]:
    """Return class and style of a kind of shape."""
    return {"class": kind} | STYLES[kind]
