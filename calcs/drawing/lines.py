"""Line types, scales and words of a drawing, as the standards have them.

Notes
-----
Widths of line group 0.5, wide to narrow as 2 to 1. Only the grain and the hatching are thinner than the
group, so that the text stays first; that is our choice.

References
----------
.. [1] ISO 128-2:2020, Basic conventions for lines: types of line, 4.2 width, 4.3 dashes (from memory).
.. [2] ISO 5455:1979, Scales: recommended 1:2, 1:5, 1:10, 1:20, 1:50; others may be taken in between where a
   drawing needs them (from memory).
.. [3] ISO 3098-1:2015, Lettering: heights of 1.8 and 2.5 mm (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calcs.kit.units import UNITS_PER_INCH, UNITS_PER_MM

IN, MM = UNITS_PER_INCH, UNITS_PER_MM
TEXT, SMALL = 3.9, 2.8
"""Sizes of type whose capitals are 2.5 and 1.8 mm high [mm]."""
LETTER_WIDE = 0.56
"""Mean width of a letter, as a share of the size of its type: a wide sans-serif."""


@dataclass(frozen=True, kw_only=True)
class LineType:
    """A type of line: its number in ISO 128-2, width [mm], dashes and gaps [widths]."""

    number: str
    width: float
    dashes: tuple[float, ...] = ()


LINES = {
    "outline": LineType(number="01.2", width=0.5),
    "narrow": LineType(number="01.1", width=0.25),
    "fine": LineType(number="01.1", width=0.13),
    "hidden": LineType(number="02.1", width=0.25, dashes=(12, 3)),
    "centre": LineType(number="04.1", width=0.25, dashes=(24, 3, 0.5, 3)),
    "cut": LineType(number="04.2", width=0.5),  # so short that only its dash shows
    "area": LineType(number="04.2", width=0.5, dashes=(24, 3, 0.5, 3)),
    "other": LineType(number="05.1", width=0.25, dashes=(24, 3, 0.5, 3, 0.5, 3)),
}
"""By what a line means: visible edges, sizes and seams, grain, hidden edges, axes, where a section is taken,
where glue goes, a finished end inside a blank."""
SCALES: dict[str, tuple[float, ...]] = {
    "in": (0.5, 1, 2, 4, 5, 8, 10, 12, 16, 20, 24, 32, 50, 100),
    "mm": (0.5, 1, 2, 2.5, 5, 10, 12.5, 20, 25, 50, 100),
}
"""How many times smaller, by the unit; an inch shop has the edges of an architect's rule besides."""
BARS: dict[str, list[int]] = {
    "in": [n * IN for n in (48, 24, 12, 6, 3, 1)],
    "mm": [n * MM for n in (1000, 500, 200, 100, 50, 20)],
}
UNITS = {"in": "inches", "mm": "millimeters"}
STEPS: dict[str, dict[str, Fraction]] = {
    "in": {"bench": Fraction(1, 16), "joint": Fraction(1, 64), "about": Fraction(1, 4)},
    "mm": {"bench": Fraction(1), "joint": Fraction(1, 2), "about": Fraction(5)},
}
"""Steps of sizes: work of the bench, joints, places of clamps and cauls."""


@dataclass(frozen=True, kw_only=True)
class Paper:
    """A sheet.

    Parameters
    ----------
    width, height : float, float or None
        Its size [mm]. Without a height it is as high as its views need and has no frame.
    unit : {"in", "mm"}
        Unit of all sizes on it.
    compact : bool
        True for a phone: the views fit its width, and a bar stands for the scale.
    """

    width: float
    height: float | None = None
    unit: str
    compact: bool = False


PHONE_WIDE = 390 * 25.4 / 96
"""Width of a phone's screen as browsers count it [mm]."""
SHEETS = {"letter": (279.4, 215.9), "A4": (297.0, 210.0)}
"""Width and height of a sheet lying on its long side [mm]."""


@dataclass(frozen=True, kw_only=True)
class Block:
    """Fields of a title block by their names in ISO 7200:2004, and three that stand beside them.

    The standard wants legal owner, identification number, date of issue, sheet, title, approval person,
    creator and document type (from memory).
    """

    legal_owner: str
    identification_number: str
    date_of_issue: str
    sheet: str
    title: str
    approval_person: str
    creator: str
    document_type: str
    supplementary_title: str = ""
    revision_index: str = ""
    document_status: str = ""
    language_code: str = "en"
    material: str = ""
    tolerance: str = ""


def size(length: float, unit: str, step: str = "bench") -> str:
    """Return a length [1/8 µm] in words without its unit, rounded to a step of `STEPS`.

    Examples
    --------
    >>> size(11 * IN + 3 * IN // 4, "in").replace(chr(160), "_"), size(MM // 2, "mm", "joint")
    ('11__3/4', '0.5')
    """
    per = STEPS[unit][step]
    told = int(length / (IN if unit == "in" else MM) / per + Fraction(1, 2)) * per
    if unit == "mm":
        return f"{float(told):g}"
    whole, rest = divmod(told, 1)
    return (
        "\u00a0\u00a0".join(str(part) for part in (whole, rest) if part) or "0"
    )  # 11 3/4 is not read as 113/4


def ratio(k: float) -> str:
    """Return a scale in words: "1:10", "2:1"."""
    return f"{1 / k:g}:1" if k < 1 else f"1:{k:g}"


def wide(words: str, font: float = TEXT, *, bold: bool = False) -> float:
    """Return the room that words need [mm]."""
    return LETTER_WIDE * font * len(words) * (1.06 if bold else 1)
