"""A top as a client is shown it: outline, strips, breadboard ends, length and width in one unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from calcs.drawing.svg import number, printable
from calcs.kit.typed import out_of_range
from calcs.kit.units import both_units, format_length

WIDE, HIGHEST = 470, 250
LEFT, TOP, RIGHT, BELOW = 12, 40, 88, 12
ARM, CUT = 6, 5
"""Half a tick across a dimension line, and half the stroke through its end."""


@dataclass(frozen=True, kw_only=True)
class Shown:
    """Top as a client is shown it; lengths in 1/8 µm.

    Parameters
    ----------
    length_len, width_len : int
        Finished size.
    strips_len : sequence of int
        Widths of its strips, of which the shares count.
    ends_len : int
        Width of a breadboard end; 0 without.
    beside_len : int
        Length of the longest top that is drawn beside it, to the same scale; 0 for none.
    unit : {"in", "mm"}
        Unit of what is written.
    says : str
        Words for a screen reader.

    Raises
    ------
    OutOfRange
        If a size is not above 0.
    """

    length_len: int
    width_len: int
    strips_len: Sequence[int] = ()
    ends_len: int = 0
    beside_len: int = 0
    unit: str
    says: str

    def __post_init__(self) -> None:
        for name, size in (("length", self.length_len), ("width", self.width_len)):
            if size <= 0:
                raise out_of_range(name, both_units(size), "above 0")


def draw_for_client(shown: Shown) -> str:
    """Return the top as SVG, to scale, with a ``viewBox`` and no size.

    Its classes are those of a page's drawings; it holds no script, style sheet, address or id.
    """
    longest = max(shown.length_len, shown.beside_len)
    scale = min((WIDE - LEFT - RIGHT) / longest, HIGHEST / shown.width_len)
    wide, high = shown.length_len * scale, shown.width_len * scale
    root = ElementTree.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "draw",
            "viewBox": f"0 0 {WIDE} {number(TOP + high + BELOW)}",
            "role": "img",
            "aria-label": printable(shown.says),
        },
    )
    box = {"x": LEFT, "y": TOP, "width": wide, "height": high}
    _add(root, "rect", {"class": "f", "rx": "2", **{name: number(place) for name, place in box.items()}})
    for path in _lines(shown, wide, high, scale):
        _add(root, "path", {"class": "thin", "opacity": ".5", "d": path})
    _along(root, wide, format_length(shown.length_len, shown.unit))
    _across(root, wide, high, format_length(shown.width_len, shown.unit))
    return ElementTree.tostring(root, encoding="unicode")


def _lines(shown: Shown, wide: float, high: float, scale: float) -> Iterator[str]:
    """Yield the lines on the face: between strips, and where an end begins."""
    ends, y, whole = shown.ends_len * scale, float(TOP), sum(shown.strips_len)
    for strip in shown.strips_len[:-1]:
        y += high * strip / whole
        yield f"M{number(LEFT + ends)} {number(y)}H{number(LEFT + wide - ends)}"
    for x in (LEFT + ends, LEFT + wide - ends) if ends else ():
        yield f"M{number(x)} {TOP}V{number(TOP + high)}"


def _along(root: ElementTree.Element, wide: float, says: str) -> None:
    """Draw the length above the top."""
    y, ends = TOP - 14, (float(LEFT), LEFT + wide)
    ticks = "".join(f"M{number(x)} {y - ARM}v{2 * ARM}M{number(x - CUT)} {y + CUT}l10-10" for x in ends)
    _add(root, "path", {"class": "thin", "d": f"M{LEFT} {y}H{number(LEFT + wide)}{ticks}"})
    _add(root, "text", {"x": number(LEFT + wide / 2), "y": number(y - 8)}).text = says


def _across(root: ElementTree.Element, wide: float, high: float, says: str) -> None:
    """Draw the width beside the top."""
    x, ends = LEFT + wide + 14, (float(TOP), TOP + high)
    ticks = "".join(
        f"M{number(x - ARM)} {number(y)}h{2 * ARM}M{number(x - CUT)} {number(y + CUT)}l10-10" for y in ends
    )
    _add(root, "path", {"class": "thin", "d": f"M{number(x)} {TOP}V{number(TOP + high)}{ticks}"})
    _add(root, "text", {"class": "l", "x": number(x + 11), "y": number(TOP + high / 2 + 5)}).text = says


def _add(root: ElementTree.Element, tag: str, attributes: dict[str, str]) -> ElementTree.Element:
    return ElementTree.SubElement(root, tag, attributes)
