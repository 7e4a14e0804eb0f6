import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.drawing import Marked, draw, signs
from calcs.drawing.client_view import Shown, draw_for_client
from calcs.glue_up.clamping import ClampAt
from calcs.joints.joinery import slots
from calcs.joints.recesses import Recess
from calcs.joints.slot_plan import plan_for
from calcs.kit.errors import OutOfRange
from calcs.kit.units import format_length, inches
from calcs.lumber.layout import RING_DIRECTIONS, StripLayout, strips

SVG = "{http://www.w3.org/2000/svg}"
TOP = StripLayout(width_len=inches(32), length_len=inches(60), ring_direction="alternating")
NEAR = 0.002  # places are written to a thousandth


def drawn(asked, title="", **marks):
    return ElementTree.fromstring(draw(Marked(layout=strips(asked), asked=asked, **marks), title=title))


THICK = inches("7/4")


def full(asked, thickness=THICK, joiner="biscuit 20"):
    """Everything that can be marked on a layout, spread over it."""
    layout = strips(asked)
    length, blank = asked.length_len, layout.blank_len
    stiff = Recess(from_end_len=length // 8, along_len=length // 16, depth_len=thickness // 4)
    plan = plan_for(layout, asked, thickness_len=thickness, joiner=joiner) if layout.count > 1 else None
    return {
        "joints": slots(plan) if plan else None,
        "stiffeners": (stiff, replace(stiff, from_edge_len=asked.width_len // 4)),
        "clamps": (ClampAt(at_len=0, side="below"), ClampAt(at_len=blank, side="above")),
        "cauls_at_len": (blank // 2,),
        "thickness_len": thickness,
    }


def places(shape):
    """Every corner of a rectangle or of a line, in the drawing."""
    if shape.tag == f"{SVG}rect":
        x, y, wide, high = (float(shape.get(name)) for name in ("x", "y", "width", "height"))
        return [(x, y), (x + wide, y + high)]
    assert re.fullmatch(r"M[-\d. L]+Z?", shape.get("d").strip()), "only straight lines are checked here"
    numbers = [float(text) for text in re.findall(r"-?\d+\.?\d*", shape.get("d"))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def view(svg, name):
    return svg.find(f".//{SVG}g[@class='view {name}']")


def named(group, kind):
    return [shape for shape in group if shape.get("class").startswith(kind)]


def box(shape):
    found = places(shape)
    return (*map(min, zip(*found, strict=True)), *map(max, zip(*found, strict=True)))


def assert_on_the_board(group):
    left, top, right, bottom = box(named(group, "outline")[0])
    for shape in group:
        for x, y in places(shape):
            assert left - NEAR <= x <= right + NEAR, shape.attrib
            assert top - NEAR <= y <= bottom + NEAR, shape.attrib


SIZES = st.builds(
    StripLayout,
    width_len=st.integers(inches(4), inches(80)),
    length_len=st.integers(inches(12), inches(240)),
    widest_len=st.integers(inches(3), inches(12)),
    final_trim_len=st.integers(0, inches("1/2")),
    trim_len=st.integers(0, inches(4)),
    ring_direction=st.sampled_from(RING_DIRECTIONS),
    end_wide_len=st.sampled_from([0, inches(2), inches(4)]),
    tongue_deep_len=st.just(0),
)


@settings(deadline=None, max_examples=60)
@given(SIZES, st.integers(inches("3/4"), inches(4)), st.sampled_from(["biscuit 0", "dowel 5/16"]))
def test_nothing_leaves_the_board_whatever_its_size(asked, thickness, joiner):
    svg = drawn(asked, **full(asked, thickness, joiner))
    for name in ("plan", "end"):
        assert_on_the_board(view(svg, name))
    wide, high = (float(number) for number in svg.get("viewBox").split()[2:])
    for shape in svg.iter():
        if shape.tag in (f"{SVG}rect", f"{SVG}path"):
            assert all(0 <= x <= wide and 0 <= y <= high for x, y in places(shape))


@settings(deadline=None, max_examples=60)
@given(SIZES)
def test_both_views_are_to_scale_lengthwise_and_across(asked):
    layout, thickness = strips(asked), inches("7/4")
    svg = drawn(asked, thickness_len=thickness)
    out = max(0, asked.end_wide_len - asked.trim_len // 2)  # ends without tongues reach past the trim
    for name, along, down in (
        ("plan", layout.blank_len + 2 * out, layout.sum_len),
        ("end", layout.sum_len, thickness),
    ):
        group = view(svg, name)
        left, top, right, bottom = box(named(group, "outline")[0])
        scale = float(group.get("data-scale"))
        assert right - left == pytest.approx(along * scale, abs=2 * NEAR)
        assert bottom - top == pytest.approx(down * scale, abs=2 * NEAR)
    boxes = [box(strip) for strip in named(view(svg, "plan"), "strip")]
    scale = float(view(svg, "plan").get("data-scale"))
    assert len(boxes) == layout.count
    for strip, (_, top, _, bottom) in zip(layout.strips, boxes, strict=True):
        assert top - boxes[0][1] == pytest.approx(strip.left_len * scale, abs=2 * NEAR)
        assert bottom - top == pytest.approx(strip.width_len * scale, abs=2 * NEAR)


def test_slots_lie_on_the_joints_at_their_places():
    marks = full(TOP)
    plan = view(drawn(TOP, **marks), "plan")
    scale = float(plan.get("data-scale"))
    left, top, _, _ = box(named(plan, "outline")[0])
    found = {
        (round((x0 + x1) / 2 - left, 1), round((y0 + y1) / 2 - top, 1))
        for x0, y0, x1, y1 in map(box, named(plan, "slot"))
    }
    layout = strips(TOP)
    expected = {
        (round((at + inches(1)) * scale, 1), round(strip.left_len * scale, 1))  # 1 in to come off the end
        for at in marks["joints"].positions_len
        for strip in layout.strips[1:]
    }
    assert found == expected and len(found) == marks["joints"].pieces


# Small print is hard to read under about 10 px on a phone 360 px wide, and under 2.5 mm on paper (common
# practice, no source).
@pytest.mark.parametrize(
    "asked",
    [TOP, replace(TOP, width_len=inches(6), length_len=inches(12), widest_len=inches(2))]
    + [replace(TOP, width_len=inches(42), length_len=inches(length)) for length in (12, 120, 480)],
)
def test_text_is_legible_on_a_phone_and_in_print(asked):
    svg = drawn(asked, title="Table top", **full(asked, joiner="biscuit 0"))
    wide = float(svg.get("viewBox").split()[2])
    sizes = {float(each.get("font-size")) for each in svg.iter() if each.get("font-size")}
    assert min(sizes) * 360 / wide >= 10
    assert min(sizes) * 180 / wide >= 2.5
    for text in svg.iter(f"{SVG}text"):  # a letter of a wide sans-serif is 0.6 of its size, at most
        long = 0.6 * min(sizes) * len(text.text)
        start = {"end": -long, "middle": -long / 2}.get(text.get("text-anchor"), 0) + float(text.get("x"))
        assert start >= -8 and start + long <= wide + 8, text.text


def test_lines_of_text_do_not_run_into_each_other():
    asked = replace(TOP, width_len=inches(40), widest_len=inches(1), length_len=inches(120))
    svg = drawn(asked, thickness_len=inches("7/4"))
    labels = [text for text in svg.iter(f"{SVG}text") if re.fullmatch("[A-Z]{1,2}", text.text)]
    column = sorted(float(text.get("y")) for text in labels if text.get("text-anchor") == "end")
    row = sorted(float(text.get("x")) for text in labels if text.get("text-anchor") == "middle")
    assert len(column) > 5 and len(row) > 5
    assert all(below - above >= 20 for above, below in zip(column, column[1:], strict=False))
    assert all(right - left >= 36 for left, right in zip(row, row[1:], strict=False))  # up to two letters


def words(svg):
    return " ".join(text.text for text in svg.iter(f"{SVG}text")).replace("\u00a0", " ")


def test_labels_sizes_and_signs_are_there():
    asked = replace(TOP, end_wide_len=inches(4), tongue_deep_len=inches(2))
    marks = full(asked)
    svg = drawn(asked, **marks)
    said = words(svg)
    labels = [text.text for text in svg.iter(f"{SVG}text") if text.text in "ABCDE"]
    assert sorted(labels) == sorted("ABCDE" * 2)  # on both views
    for size in ('60" (1524 mm)', '32" 812.8 mm', '1 3/4" ≈ 44.5 mm', 'A–E 6 13/32" (≈ 162.7 mm)', '58"'):
        assert size in said
    for at in marks["joints"].positions_len:
        assert format_length(at, "in") in said and format_length(at, "mm") in said
    assert "1 clamp above" in said and "1 clamp below" in said and "witness" in said
    plan = view(svg, "plan")
    for kind, count in {
        "witness": 1,
        "slot": 20,
        "planing": 10,
        "trim": 1,
        "stiffener": 2,
        "breadboard": 2,
    }.items():
        assert len(named(plan, kind)) == count, kind
    assert len(named(plan, "clamp")) == 2 and len(named(plan, "caul")) == 1


# Heart side up: the rings' centre is above, so they hang; by geometry of a circle.
@pytest.mark.parametrize("direction, bends", [("all heart up", {1}), ("alternating", {1, -1})])
def test_rings_bend_as_the_heart_lies(direction, bends):
    end = view(drawn(replace(TOP, ring_direction=direction), thickness_len=inches("7/4")), "end")
    found = set()
    for ring in named(end, "ring"):
        heights = [y for _, y in places(ring)]
        found.add(1 if heights[len(heights) // 2] > heights[0] else -1)
    assert found == bends


def test_unknown_rings_are_drawn_both_ways():
    end = view(drawn(replace(TOP, ring_direction="best face"), thickness_len=inches("7/4")), "end")
    assert {ring.get("class") for ring in named(end, "ring")} == {"ring open"}
    assert len(named(end, "ring")) == 10


def test_it_can_stand_in_any_page():
    marked = Marked(layout=strips(TOP), asked=TOP, **full(TOP))
    text = draw(marked, title="<b>Fenn & Sons</b>\x00")
    svg = ElementTree.fromstring(text)
    assert svg[0].tag == f"{SVG}title" and svg[0].text == "<b>Fenn & Sons</b> : 5 strips, show face up"
    assert set(svg.keys()) == {"class", "role", "viewBox"}
    assert {each.tag.removeprefix(SVG) for each in svg.iter()} == {
        "svg",
        "title",
        "g",
        "text",
        "rect",
        "path",
    }
    for each in svg.iter():
        assert not {"id", "href", "style", "onload"} & set(each.keys())
        for paint in (each.get("fill"), each.get("stroke")):
            assert paint in (None, "none", "currentColor")  # light, dark and print alike


@pytest.mark.parametrize(
    "marks, field",
    [
        (
            {"stiffeners": (Recess(from_end_len=inches(59), along_len=inches(2), depth_len=1 * 25400),)},
            "stiff",
        ),
        ({"clamps": (ClampAt(at_len=inches(63), side="above"),)}, "clamps[1]"),
        ({"cauls_at_len": (inches(3), -1)}, "cauls_at[2]"),
    ],
)
def test_what_lies_outside_the_board_is_refused(marks, field):
    with pytest.raises(OutOfRange) as caught:
        drawn(TOP, **marks)
    assert caught.value.field.startswith(field) and caught.value.allowed


def test_slots_of_another_layout_are_refused():
    other = replace(TOP, length_len=inches(90))
    with pytest.raises(OutOfRange) as caught:
        drawn(TOP, joints=full(other)["joints"])
    assert caught.value.field.startswith("joints[")
    with pytest.raises(OutOfRange) as caught:
        drawn(TOP, joints=full(replace(TOP, width_len=inches(20)))["joints"])
    assert caught.value.field == "joints"


def test_the_key_beside_the_drawing_says_what_the_key_in_it_says():
    marked = Marked(layout=strips(TOP), asked=TOP, **full(TOP))
    key, whole = signs(marked), words(ElementTree.fromstring(draw(marked)))
    without = words(ElementTree.fromstring(draw(marked, with_key=False)))
    assert len(key) > 8
    for sign in key:
        said = " ".join(sign.words.replace("\u00a0", " ").split())
        assert said in whole and said not in without
        if sign.svg:
            alone = ElementTree.fromstring(sign.svg)
            assert alone.get("aria-hidden") == "true" and alone.find(f".//{SVG}text") is None
            left, top, wide, high = map(float, alone.get("viewBox").split())
            for shape in alone.iter(f"{SVG}path"):
                assert all(left <= x <= left + wide and top <= y <= top + high for x, y in places(shape))


def test_a_trim_of_less_than_a_64th_is_not_nothing():
    thin = replace(TOP, width_len=inches(32) - 800, widest_len=inches(6))
    assert '≈ 0"' not in words(drawn(thin)) and "(≈ 0 mm)" not in words(drawn(thin))


def test_width_lost_to_ripped_joints_is_drawn_and_told():
    asked = replace(TOP, lost_len=inches("3/4"))
    svg = drawn(asked, thickness_len=inches("7/4"))
    assert "too narrow" in words(svg)
    assert_on_the_board(view(svg, "plan"))


# By hand: ends 4 in wide with tongues of 2 in leave a panel of 60 - 2 x 2 = 56 in, glued up 58 in long. The
# top reaches 1 in past the blank at either end, so that the tongue ends 2 in from the left of the drawing.
def test_breadboard_ends_cover_the_tongues_to_scale():
    asked = replace(TOP, end_wide_len=inches(4), tongue_deep_len=inches(2))
    marks = full(asked)
    plan = view(drawn(asked, **marks), "plan")
    scale = float(plan.get("data-scale"))
    left, _, right, _ = box(named(plan, "outline")[0])
    assert right - left == pytest.approx(inches(60) * scale, abs=2 * NEAR)
    strip = box(named(plan, "strip")[0])
    assert (strip[0] - left, strip[2] - left) == pytest.approx(
        (inches(1) * scale, inches(59) * scale), abs=2 * NEAR
    )
    ends = sorted(box(each) for each in named(plan, "breadboard"))
    assert [(x0 - left, x1 - left) for x0, _, x1, _ in ends] == [
        pytest.approx((0, inches(4) * scale), abs=2 * NEAR),
        pytest.approx((inches(56) * scale, inches(60) * scale), abs=2 * NEAR),
    ]
    first = min(box(slot)[0] + box(slot)[2] for slot in named(plan, "slot")) / 2 - left
    assert first == pytest.approx((inches(2) + marks["joints"].positions_len[0]) * scale, abs=2 * NEAR)
    assert marks["joints"].positions_len[0] - marks["joints"].along_len // 2 > asked.tongue_deep_len


@pytest.mark.parametrize(("unit", "written"), [("in", ['60"', '32"']), ("mm", ["1524 mm", "812.8 mm"])])
def test_a_client_sees_the_size_in_one_unit_and_no_clamps(unit: str, written: list[str]):
    size = {"length_len": inches(60), "width_len": inches(32), "ends_len": inches(5)}
    shown = Shown(**size, strips_len=(3, 1), unit=unit, says="Top")
    svg = ElementTree.fromstring(draw_for_client(shown))
    assert [text.text for text in svg.iter(f"{SVG}text")] == written and svg.get("aria-label") == "Top"
    outline = svg.find(f"{SVG}rect")
    wide, high = float(outline.get("width")), float(outline.get("height"))
    assert wide / high == pytest.approx(60 / 32, abs=0.01)
    strip = next(svg.iter(f"{SVG}path")).get("d")
    joint = float(strip.split()[1].partition("H")[0]) - float(outline.get("y"))
    assert joint == pytest.approx(high * 3 / 4, abs=0.01)


def test_what_has_no_size_is_not_drawn_for_a_client():
    with pytest.raises(OutOfRange):
        Shown(length_len=0, width_len=1, unit="in", says="")
