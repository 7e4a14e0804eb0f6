"""Lines, scales and rounding of the drawings, against the standards."""

from xml.etree import ElementTree

import pytest

from calcs.drawing.lines import LINES, SCALES, Paper, size
from calcs.kit.units import inches
from jobs.domain.pieces.drawing import draw_sheet, views_of
from tests.calcs.drawing import tops
from tests.calcs.drawing.measuring import MM, SVG, views

# ISO 128-2:2020, table of basic types of line: number, dashes and gaps in widths of the line; 4.2: series of
# widths 0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1, 1.4, 2 mm; wide to narrow 2:1 (from memory)
SERIES = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1, 1.4, 2)
TYPES = {
    "01": (),
    "02": (12, 3),
    "04": (24, 3, 0.5, 3),
    "05": (24, 3, 0.5, 3, 0.5, 3),
}
# ISO 128-2:2020, annex on mechanical drawings: use of the types (from memory)
USES = {
    "outline": "01.2", "narrow": "01.1", "hidden": "02.1", "centre": "04.1", "cut": "04.2", "area": "04.2",
    "other": "05.1",
}  # fmt: skip
# ISO 5455:1979, 4: recommended scales of reduction to 1:100, of enlargement to 2:1 (from memory); others may
# be taken in between: an inch shop has those of an architect's rule, 3 in to 3/8 in to the foot, and 1:12
RECOMMENDED = {0.5, 1, 2, 5, 10, 20, 50, 100}
RULE = {"in": {4, 8, 12, 16, 24, 32}, "mm": {2.5, 12.5, 25}}


@pytest.mark.parametrize("kind", LINES)
def test_a_line_is_of_a_type_and_width_of_the_standard(kind: str):
    line = LINES[kind]
    assert line.width in SERIES
    assert line.dashes == TYPES[line.number[:2]] or kind == "cut"  # so short that only its dash shows
    if kind in USES:
        assert line.number == USES[kind]
        assert line.width == (0.5 if line.number.endswith(".2") else 0.25)


@pytest.mark.parametrize("unit", SCALES)
def test_scales_are_those_recommended_and_those_of_a_rule(unit: str):
    assert set(SCALES[unit]) == RECOMMENDED | RULE[unit]


@pytest.mark.parametrize(("unit", "width"), [("in", 190), ("mm", 190), ("in", 279.4), ("mm", 297)])
def test_a_drawing_on_paper_takes_a_scale_of_the_list_and_names_it(unit: str, width: float):
    top = tops.kept(length=inches(132), width=inches(48), count=9, ends=True, channels=True)
    for name in views_of(*top):
        root = ElementTree.fromstring(draw_sheet(*top, name, paper=Paper(width=width, unit=unit)) or "")
        found = [float(view.get("data-scale", "")) for view in root.iter(f"{SVG}g") if view.get("data-view")]
        assert set(found) <= set(SCALES[unit])
        said = " ".join("".join(text.itertext()) for text in root.iter(f"{SVG}text"))
        assert f"1:{found[0]:g}" in said


def test_hidden_edges_begin_and_end_with_a_dash():
    # ISO 128-2:2020, dashed lines meet and end in dashes (from memory)
    top = tops.kept(length=inches(98), width=inches(40), count=7)
    root = ElementTree.fromstring(draw_sheet(*top, "glue-up", paper=Paper(width=190, unit="in")) or "")
    slots = [path for path in views(root, "glue-up")[0] if path.get("data-what") == "slot"]
    assert slots
    for path in slots:
        (x1, y1), (x2, y2) = (tuple(map(float, p.split())) for p in path.get("d", "")[1:].split(" L"))
        dash, gap = (float(step) for step in path.get("stroke-dasharray", "").split())
        long = abs(x2 - x1) + abs(y2 - y1)
        rest = (long + gap) / (dash + gap)
        assert rest == pytest.approx(round(rest), abs=0.02)


@pytest.mark.parametrize(
    ("millimeters", "unit", "step", "says"),
    [
        ("25.4", "in", "bench", "1"),
        ("44.45", "in", "bench", "1\u00a0\u00a03/4"),
        ("0.397", "in", "joint", "1/64"),  # 25.4 / 64
        ("56.4", "mm", "joint", "56.5"),
        ("56.4", "mm", "bench", "56"),
        ("57.6", "mm", "about", "60"),
        ("0", "in", "bench", "0"),
    ],
)
def test_sizes_are_told_as_the_bench_reads_them(millimeters: str, unit: str, step: str, says: str):
    assert size(float(millimeters) * MM, unit, step) == says
