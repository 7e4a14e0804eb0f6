"""Measure a drawing: views against lengths, sizes against what they say, words against each other."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise
from xml.etree import ElementTree

from fontTools.ttLib import TTFont

from jobs.documents.kit.faces import FOLDER

SVG = "{http://www.w3.org/2000/svg}"
IN, MM = 203200, 8000
NEAR = 0.02  # mm on the paper: more than the three decimals of the file, less than a line


@dataclass(frozen=True, kw_only=True)
class Box:
    """Where a text stands on the sheet [mm]."""

    words: str
    left: float
    top: float
    right: float
    bottom: float


def points(path: ElementTree.Element) -> list[tuple[float, float]]:
    way = re.sub(r"A\S+ \S+ 0 0 1 ", "L", path.get("d", ""))
    found = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", way)
    return [(float(x), float(y)) for x, y in found]


def extent(*paths: ElementTree.Element) -> tuple[float, float, float, float]:
    xs, ys = zip(*(point for path in paths for point in points(path)), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def sides(path: ElementTree.Element) -> tuple[float, float]:
    left, top, right, bottom = extent(path)
    return right - left, bottom - top


def views(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [group for group in root.iter(f"{SVG}g") if group.get("data-view") == name]


def shapes(view: ElementTree.Element, what: str) -> list[ElementTree.Element]:
    return [each for each in view.iter() if each.get("data-what") == what]


def told(words: str, unit: str) -> Fraction:
    """Return the millimeters that a size says, without its lead and its tolerance."""
    bare = re.sub(r"[^\d/.\s\u00a0]", " ", words.split("±")[0])
    value = sum((Fraction(part) for part in bare.split()), Fraction(0))
    return value * Fraction("25.4") if unit == "in" else value


def sizes(root: ElementTree.Element) -> Iterator[tuple[str, float, float, float, str]]:
    """Yield what each size says, what it measures [mm], how long it is drawn, the scale, and the step."""
    for group in root.iter(f"{SVG}g"):
        if group.get("class") not in ("dim", "run"):
            continue
        if drawn := group.get("data-drawn"):
            long = abs(float(drawn))
        else:
            line = next(path for path in group.iter(f"{SVG}path") if path.get("data-what") == "dimension")
            long = max(sides(line))
        words = "".join(next(group.iter(f"{SVG}text")).itertext())
        measures, k = abs(float(group.get("data-len", ""))), float(group.get("data-scale", ""))
        yield words, measures, long, k, group.get("data-step", "")


@cache
def letters() -> dict[tuple[str, int], float]:
    """Return the widths of letters on a paper, as shares of the size of the type."""
    found = {}
    for weight in (400, 700):
        font = TTFont(FOLDER / f"alegreya-sans-latin-{weight}.woff2")
        for code, glyph in font.getBestCmap().items():
            found[chr(code), weight] = font["hmtx"][glyph][0] / font["head"].unitsPerEm
    return found | {(digit, weight): 0.53 for digit in "0123456789" for weight in (400, 700)}


def boxes(root: ElementTree.Element) -> list[Box]:
    found = []
    for text in root.iter(f"{SVG}text"):
        words, font = "".join(text.itertext()), float(text.get("font-size", ""))
        weight = int(text.get("font-weight", 400))
        wide = font * sum(letters().get((letter, weight), 0.7) for letter in words)
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        back = {"start": 0.0, "middle": wide / 2, "end": wide}[text.get("text-anchor", "start")]
        if text.get("transform"):
            box = (x - 0.66 * font, y + back - wide, x + 0.05 * font, y + back)
        else:
            box = (x - back, y - 0.66 * font, x - back + wide, y + 0.05 * font)
        found.append(Box(words=words, left=box[0], top=box[1], right=box[2], bottom=box[3]))
    return found


def faults(root: ElementTree.Element, *, framed: bool) -> list[str]:
    """Return which words lie on others, on lines that are no grain and no hatching, or leave the frame."""
    found, texts = [], boxes(root)
    for a, b in combinations(texts, 2):
        if (
            min(a.right, b.right) - max(a.left, b.left) > 0.2
            and min(a.bottom, b.bottom) - max(a.top, b.top) > 0.2
        ):
            found.append(f"{a.words!r} lies on {b.words!r}")
    _, _, wide, high = (float(number) for number in root.get("viewBox", "").split())
    left, top, right, bottom = (20, 10, wide - 10, high - 10) if framed else (0, 0, wide, high)
    for a in texts:
        if a.left < left - 0.01 or a.top < top or a.right > right + 0.01 or a.bottom > bottom:
            found.append(
                f"{a.words!r} leaves the sheet: {a.left:.1f} {a.top:.1f} {a.right:.1f} {a.bottom:.1f}"
            )
    lines = [
        ends
        for path in root.iter(f"{SVG}path")
        if path.get("stroke-width") != "0.13"
        for ends in pairwise(points(path))
    ]
    found += [f"a line crosses {a.words!r}" for a in texts if any(_crosses(a, *ends) for ends in lines)]
    return found


def _crosses(box: Box, p: tuple[float, float], q: tuple[float, float]) -> bool:
    """Return whether a line goes through the inside of a box, by clipping it to the box."""
    low, high = 0.0, 1.0
    for start, end, least, most in (
        (p[0], q[0], box.left + 0.3, box.right - 0.3),
        (p[1], q[1], box.top + 0.2, box.bottom - 0.2),
    ):
        if least >= most:
            return False
        run = end - start
        if abs(run) < 1e-9:
            if not least < start < most:
                return False
            continue
        first, last = sorted(((least - start) / run, (most - start) / run))
        low, high = max(low, first), min(high, last)
    return high - low > 1e-6
