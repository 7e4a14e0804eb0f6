"""The slots on every paper that mentions one: how deep into each edge, and how far along.

No published table of slots was found. A biscuit is 56 x 23 x 4 mm, and machines are set to 12.3 mm for it
(both from memory); a 4 in blade cuts a chord of 66.3 mm at that depth, 2 sqrt(12.3 x 89.3). Dowels and loose
tenons by geometry: half of the joiner lies in either strip, and 1/32 in more leaves room for glue (common
practice, no source).
"""

import re
from xml.etree import ElementTree

import pytest

from jobs.documents.render import draft, render
from jobs.domain.pieces.drawing import bench_drawings
from jobs.models import Piece
from tests.documents.reading import words
from tests.documents.shop import a_shop
from tests.needs import needs
from tests.shop_fixtures import Work, issue_job_sheet, the_paper

pytestmark = [needs("weasyprint"), pytest.mark.django_db]
INCH_MM = 25.4
SVG = "{http://www.w3.org/2000/svg}"
# joints asked, thickness, joiner that comes of it, along the edge [mm], into each edge [mm]
SIZES = [
    ("biscuits", "1 1/2", "biscuit 20", 66.3, 12.3),
    ("dowels", "1 1/2", "dowel 1/2", 0.5 * INCH_MM, (2.5 / 2 + 1 / 32) * INCH_MM),
    ("loose tenons", "1 1/4", "loose tenon 3/8", 1.5 * INCH_MM, (2 / 2 + 1 / 32) * INCH_MM),
]


def a_top(work: Work, joints: str, thickness: str) -> Piece:
    return work.accepted(joinery=joints, thickness=thickness)


@pytest.mark.parametrize(("joints", "thickness", "joiner", "along", "into"), SIZES)
def test_the_job_sheet_prints_the_depth_of_a_slot_not_the_size_of_its_joiner(
    joints, thickness, joiner, along, into
):
    work = a_shop(paper_units="mm")
    piece = a_top(work, joints, thickness)
    number = piece.commission.number
    paper = the_paper(issue_job_sheet(work.call(), commission=number))
    for told in (words(render(paper)), words(draft(commission=number, kind="job-sheet", now=work.now))):
        assert f"{joiner};" in told
        slot = re.search(r"Each slot ([\d.]+) along, ([\d.]+) into each edge", told)
        assert slot
        # to half a millimeter: a slot is never shorter than asked, and as deep as its joiner needs
        assert float(slot[1]) - along == pytest.approx(0.25, abs=0.26)
        assert float(slot[2]) == pytest.approx(into, abs=0.26)


@pytest.mark.parametrize(("joints", "thickness", "joiner", "along", "into"), SIZES)
def test_the_drawing_on_it_shows_slots_as_deep_as_they_are_cut(joints, thickness, joiner, along, into):
    piece = a_top(a_shop(), joints, thickness)
    root = ElementTree.fromstring(
        next(iter(bench_drawings(piece.computed, piece.inputs, unit="in", title="")), "")
    )
    view = next(g for g in root.iter(f"{SVG}g") if g.get("data-view") == "glue-up")
    sides = [path for path in view if path.get("data-what") == "slot"][:4]  # the four sides of the first
    ends = [float(n) for side in sides for n in re.findall(r"-?\d+\.\d+", side.get("d"))]
    scale = float(view.get("data-scale"))
    drawn = [(max(of) - min(of)) * scale for of in (ends[::2], ends[1::2])]
    assert drawn == pytest.approx([along, 2 * into], abs=0.05)
