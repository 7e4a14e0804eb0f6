"""Templates as DXF R12, read back by the library's own audit and measured against the top."""

from io import StringIO

import ezdxf
import pytest
from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities import Polyline

from calcs.drawing.dxf import dxf
from calcs.drawing.top import Top
from calcs.kit.units import inches
from jobs.domain.pieces.drawing import top_drawn, views_of
from tests.calcs.drawing import tops

PER = {"in": 203200, "mm": 8000}
WHOLE = tops.kept(length=inches(98), width=inches(40), count=7, ends=True, channels=True)


def whole() -> Top:
    top = top_drawn(*WHOLE)
    assert top
    return top


def read(view: str, unit: str) -> Drawing:
    text = dxf(whole(), view, unit, title="2026-014-1")
    assert text
    from io import BytesIO

    document, auditor = recover.read(BytesIO(text.encode("cp1252")))
    assert not auditor.errors and not auditor.fixes
    assert document.dxfversion == "AC1009"  # R12
    return document


def lines(document: Drawing, layer: str) -> list[Polyline]:
    return [line for line in document.modelspace().query("POLYLINE") if line.dxf.layer == layer]


def box(line: Polyline) -> tuple[float, float, float, float]:
    xs, ys = zip(*((at[0], at[1]) for at in line.points()), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def sides(line: Polyline) -> tuple[float, float]:
    left, low, right, high = box(line)
    return right - left, high - low


@pytest.mark.parametrize("unit", PER)
def test_a_face_is_full_size(unit: str):
    top = whole()
    outline = max(map(sides, lines(read("client", unit), "OUTLINE")))
    assert outline == pytest.approx((top.length / PER[unit], top.width / PER[unit]), abs=1e-6)


@pytest.mark.parametrize("unit", PER)
def test_a_blank_has_every_slot_where_it_is_cut(unit: str):
    top, document = whole(), read("glue-up", unit)
    glue, per = top.glue, PER[unit]
    assert glue and glue.slots
    hidden = [box(line) for line in lines(document, "HIDDEN")]
    found = sorted({(round((a + c) / 2, 6), round(-(b + d) / 2, 6)) for a, b, c, d in hidden})
    start = top.panel[0]
    wanted = sorted(((start + at) / per, seam / per) for at in glue.slots.at for seam in top.seams[1:-1])
    assert len(found) == len(wanted)
    for drawn, asked in zip(found, wanted, strict=True):
        assert drawn == pytest.approx(asked, abs=1e-5)
    for a, b, c, d in hidden:
        assert (c - a, d - b) == pytest.approx((glue.slots.along / per, 2 * glue.slots.into / per), abs=1e-6)
    letters = {text.dxf.text for text in document.modelspace().query("TEXT")}
    assert set("ABCDEFG") <= letters


@pytest.mark.parametrize("unit", PER)
def test_an_underside_has_its_recesses_and_bolts(unit: str):
    top, document = whole(), read("underside", unit)
    made, per = top.channels, PER[unit]
    assert made
    recess = (made.recess_wide / per, made.recess_long / per)
    found = [
        box(line) for line in lines(document, "OUTLINE") if sides(line) == pytest.approx(recess, abs=1e-6)
    ]
    middles = sorted((a + c) / 2 for a, _, c, _ in found)
    assert middles == pytest.approx([at / per for at in made.at], abs=1e-6)
    bolts = document.modelspace().query("CIRCLE")
    assert len(bolts) == len(made.at) * len(made.bolts)
    assert {round(2 * bolt.dxf.radius, 6) for bolt in bolts} == {round(made.bolt / per, 6)}


@pytest.mark.parametrize("unit", PER)
def test_a_breadboard_end_has_tongue_mortise_pegs_and_slots(unit: str):
    top, document = whole(), read("breadboard", unit)
    made, per = top.ends, PER[unit]
    assert made
    hidden = sorted(sides(line) for line in lines(document, "HIDDEN"))
    wanted = [(made.tongue, made.tongue_deep), (made.mortise, made.mortise_deep)]
    for drawn, asked in zip(hidden, wanted, strict=True):
        assert drawn == pytest.approx([each / per for each in asked], abs=1e-6)
    pegs = sorted(peg.dxf.center.x for peg in document.modelspace().query("CIRCLE"))
    assert pegs == pytest.approx([peg.at / per for peg in made.pegs], abs=1e-6)
    rounded = [line for line in lines(document, "NARROW") if line.has_arc]
    assert len(rounded) == sum(not peg.round for peg in made.pegs)
    straight = made.pegs[0].slot - made.peg  # between the half circles
    for line in rounded:
        long, high = sides(line)
        assert (long, high) == pytest.approx((straight / per, made.peg / per), abs=1e-6)


def test_a_file_names_its_unit_and_holds_no_letter_that_it_cannot():
    text = dxf(whole(), "client", "mm", title="Tür 2026-014-1") or ""
    document = ezdxf.read(StringIO(text))
    assert any("1:1 in millimeters" in each.dxf.text for each in document.modelspace().query("TEXT"))
    assert text.isascii()


def test_there_is_a_template_for_each_view_that_applies():
    assert all(dxf(whole(), view, "in") for view in views_of(*WHOLE))
    plain = top_drawn(*tops.kept(length=inches(60), width=inches(30), count=5))
    assert plain and dxf(plain, "underside", "in") is None
