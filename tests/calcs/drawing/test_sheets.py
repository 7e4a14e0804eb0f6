"""The sheets of a top, measured: to scale, sizes that say what they measure, words that nothing crosses."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from calcs.drawing import sheets
from calcs.drawing.lines import PHONE_WIDE, SHEETS, Block, Paper
from calcs.drawing.top import Top
from calcs.kit.units import inches
from jobs.domain.pieces.drawing import draw_sheet, thumbnail, top_drawn, views_of
from tests.calcs.drawing import tops
from tests.calcs.drawing.measuring import (
    MM,
    NEAR,
    SVG,
    extent,
    faults,
    points,
    shapes,
    sides,
    sizes,
    told,
    views,
)

BLOCK = Block(
    legal_owner="Larkfield Tops, Oxmere", creator="Ines Larkfield", approval_person="Teodor Vane",
    identification_number="2026-014-1-C", date_of_issue="2026-03-09", sheet="1/3", title="Dining table top",
    document_type="Client drawing", document_status="For approval", revision_index="2",
    material="black walnut", tolerance="±1/32",
)  # fmt: skip
PAPERS = {
    "letter": Paper(width=SHEETS["letter"][0], height=SHEETS["letter"][1], unit="in"),
    "A4": Paper(width=SHEETS["A4"][0], height=SHEETS["A4"][1], unit="mm"),
    "phone, inches": Paper(width=PHONE_WIDE, unit="in", compact=True),
    "phone, millimeters": Paper(width=PHONE_WIDE, unit="mm", compact=True),
    "job sheet, inches": Paper(width=190, unit="in"),
    "job sheet, millimeters": Paper(width=170, unit="mm"),
}
STEPS = {
    "joint": {"in": 25.4 / 64, "mm": 0.5},
    "bench": {"in": 25.4 / 16, "mm": 1},
    "about": {"in": 25.4 / 4, "mm": 5},  # clamps and cauls
}
USUAL = {"length": inches(98), "width": inches(40), "count": 7}


def drawn_on(
    top: tuple[tops.Kept, tops.Kept], view: str, paper: Paper, block: Block | None, title: str = ""
) -> str:
    shown = top_drawn(*top, unit=paper.unit)
    assert shown
    return sheets.sheet(shown, view, paper, block=block, title=title) or ""


def sheet(top: tuple[tops.Kept, tops.Kept], view: str, paper: Paper) -> ElementTree.Element:
    drawn = drawn_on(top, view, paper, BLOCK if paper.height else None, "2026-014-1")
    return ElementTree.fromstring(drawn)


def written(root: ElementTree.Element) -> set[str]:
    return {"".join(text.itertext()) for text in root.iter(f"{SVG}text")}


def scale(view: ElementTree.Element) -> float:
    return float(view.get("data-scale", ""))


def check_whole(view: ElementTree.Element, what: str, long: int, high: int) -> None:
    """The outline of a view is as long and as high as the top, at the view's scale."""
    outline = next(iter(shapes(view, what)))
    assert sides(outline) == pytest.approx((long / MM / scale(view), high / MM / scale(view)), abs=NEAR)


def check_to_scale(root: ElementTree.Element, top: Top) -> int:
    """Measure what the views show against the top; return how many views were measured."""
    measured = 0
    for view in views(root, "plan"):
        check_whole(view, "finished", top.length, top.width)
        measured += 1
    for view in views(root, "along"):
        check_whole(view, "finished", top.length, top.thickness or 0)
        measured += 1
    for view in views(root, "glue-up"):
        check_glue_up(view, top)
        measured += 1
    for view in views(root, "underside"):
        check_underside(view, top)
        measured += 1
    for view in views(root, "breadboard"):
        check_breadboard(view, top)
        measured += 1
    return measured


def check_glue_up(view: ElementTree.Element, top: Top) -> None:
    k, (low, high), glue = scale(view), top.blank, top.glue
    assert glue
    check_whole(view, "blank", high - low, top.seams[-1] - top.seams[0])
    left, upper, *_ = extent(next(iter(shapes(view, "blank"))))
    seams = [points(seam)[0][1] - upper for seam in shapes(view, "seam")]
    assert seams == pytest.approx([(at - top.seams[0]) / MM / k for at in top.seams[1:-1]], abs=NEAR)
    if not glue.slots:
        return
    middles = {round(points(mark)[0][0] - left, 3) for mark in shapes(view, "slot middle")}
    wanted = [(at + glue.trim) / MM / k for at in glue.slots.at]
    assert sorted(middles) == pytest.approx(wanted, abs=NEAR)
    first = shapes(view, "slot")[:4]  # its four sides
    x0, y0, x1, y1 = extent(*first)
    size = (glue.slots.along / MM / k, 2 * glue.slots.into / MM / k)
    assert (x1 - x0, y1 - y0) == pytest.approx(size, abs=NEAR)


def check_underside(view: ElementTree.Element, top: Top) -> None:
    k, made = scale(view), top.channels
    assert made
    check_whole(view, "finished", top.length, top.width)
    left, upper, *_ = extent(next(iter(shapes(view, "finished"))))
    recesses = [extent(recess) for recess in shapes(view, "recess")]
    assert [(a + c) / 2 - left for a, _, c, _ in recesses] == pytest.approx(
        [at / MM / k for at in made.at], abs=NEAR
    )
    begins = (top.width - made.recess_long) / 2
    for a, b, c, d in recesses:
        drawn = (c - a, b - upper, d - b)
        assert drawn == pytest.approx(
            [each / MM / k for each in (made.recess_wide, begins, made.recess_long)], abs=NEAR
        )


def check_breadboard(view: ElementTree.Element, top: Top) -> None:
    k, made = scale(view), top.ends
    assert made
    check_whole(view, "breadboard end", made.long, made.wide)
    x, y = (float(number) for number in view.get("data-at", "").split())
    pegs = [float(circle.get("cx", "")) - x for circle in shapes(view, "peg")]
    assert pegs == pytest.approx([peg.at / MM / k for peg in made.pegs], abs=NEAR)
    for what, long, deep in (
        ("tongue", made.tongue, made.tongue_deep),
        ("mortise", made.mortise, made.mortise_deep),
    ):
        a, b, c, d = extent(*shapes(view, what))
        wanted = ((top.width - long) / 2, long, deep)
        assert (a - x, c - a, d - b) == pytest.approx([each / MM / k for each in wanted], abs=NEAR)
        assert d - y == pytest.approx(made.wide / MM / k, abs=NEAR)  # both begin at the shoulder


def check_sizes(root: ElementTree.Element, unit: str) -> int:
    """Every size is drawn as long as it measures, and says what it measures; return how many there are."""
    count = 0
    for words, measures, drawn, k, step in sizes(root):
        assert drawn == pytest.approx(measures / k, abs=NEAR), words
        assert float(told(words, unit)) == pytest.approx(measures, abs=STEPS[step][unit] / 2 + 1e-4), words
        count += 1
    return count


@pytest.mark.parametrize("name", PAPERS)
@settings(max_examples=4, deadline=None)
@given(asked=tops.tops())
def test_every_sheet_is_to_scale_and_every_word_has_room(name: str, asked: tops.Kept):
    top, paper = tops.kept(**asked), PAPERS[name]
    drawn = top_drawn(*top, unit=paper.unit)
    assert drawn
    for view in views_of(*top):
        root = sheet(top, view, paper)
        assert check_to_scale(root, drawn) and check_sizes(root, paper.unit) >= 2
        assert faults(root, framed=paper.height is not None) == [], view


def test_sizes_say_the_finished_length_and_width_to_a_64th():
    top = tops.kept(length=inches("98"), width=inches("40"), count=7)
    inch, metric = {"98", "40", "1\u00a0\u00a03/4"}, {"2489", "1016"}
    for paper, wanted in ((PAPERS["letter"], inch), (PAPERS["A4"], metric)):
        said = {words.split(" ±")[0] for words, *_ in sizes(sheet(top, "client", paper))}
        assert wanted <= said  # 98 in are 2489.2 mm, 40 in 1016.0 mm


def test_a_phone_tells_the_tolerance_beside_the_drawing():
    top = tops.kept(length=inches(98), width=inches(40), count=7)
    said = {words for words, *_ in sizes(sheet(top, "client", PAPERS["phone, inches"]))}
    assert {"98", "40"} <= said
    assert "Sizes hold to ±1/32." in written(sheet(top, "client", PAPERS["phone, inches"]))


def test_a_sheet_applies_where_the_top_has_what_it_shows():
    plain, whole = tops.kept(**USUAL), tops.kept(**USUAL, ends=True, channels=True)
    assert views_of(*plain) == ["client", "glue-up"]
    assert views_of(*whole) == ["client", "glue-up", "underside", "breadboard"]
    computed, inputs = whole
    assert views_of({}, inputs) == ["client"]
    assert views_of(computed, {**inputs, "width_len": None}) == []
    assert draw_sheet(*plain, "underside", paper=PAPERS["letter"]) is None


def test_a_sheet_has_a_frame_and_a_title_block_and_a_job_sheet_has_none():
    # ISO 7200:2004, mandatory fields of the title block (from memory)
    fields = {
        "Legal owner", "Identification number", "Date of issue", "Sheet", "Title", "Approval person",
        "Creator", "Document type",
    }  # fmt: skip
    top = tops.kept(**USUAL)
    said = written(sheet(top, "client", PAPERS["letter"]))
    assert fields <= said and {BLOCK.legal_owner, BLOCK.identification_number, "1:12, inches"} <= said
    bare = sheet(top, "client", PAPERS["job sheet, inches"])
    assert not fields & written(bare)
    assert bare.get("width") == "190mm"


def test_everything_is_black_and_nothing_is_loaded():
    drawn = drawn_on(tops.kept(**USUAL, ends=True), "breadboard", PAPERS["letter"], BLOCK)
    colors = {each.get(kind) for each in ElementTree.fromstring(drawn).iter() for kind in ("fill", "stroke")}
    assert colors <= {None, "none", "currentColor"}
    assert "opacity" not in drawn and "href" not in drawn and "<script" not in drawn and " id=" not in drawn


def test_words_of_a_shop_cannot_break_a_sheet():
    odd = replace(
        BLOCK,
        title='<b>"A" & B</b>\x00',
        legal_owner="Große Tischlerei an der Wöllsteiner Mühle, Wallenhorst " * 2,
    )
    root = ElementTree.fromstring(drawn_on(tops.kept(**USUAL), "client", PAPERS["letter"], odd, "<x>"))
    assert '<b>"A" & B</b> ' in written(root) and root.findtext(f"{SVG}title") == "<x>: client drawing"
    assert faults(root, framed=True) == []


def test_a_quote_shows_the_face_and_two_sizes():
    drawn = thumbnail(*tops.kept(**USUAL), width_mm=60, unit="in", title="Table")
    root = ElementTree.fromstring(drawn or "")
    assert [words for words, *_ in sizes(root)] == ["98", "40"]
    assert root.get("width") == "60mm" and faults(root, framed=False) == []
