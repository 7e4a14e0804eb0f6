"""Drawn wood: the same top for the same seed, nothing outside it, small enough for a page."""

import gzip
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.drawing.grain import SMALL, STRIP, WHOLE, Detail, Top, draw
from calcs.drawing.woods import ANY_WOOD, LOOKS, look_of
from calcs.kit.errors import OutOfRange
from calcs.kit.units import inches
from calcs.lumber.layout import MOST_STRIPS
from calcs.materials.species import species_list

SVG = "{http://www.w3.org/2000/svg}"
STRIPS = Path(__file__).parents[3] / "jobs/static/web/wood"
MOST_BYTES = ((WHOLE, 12_000), (SMALL, 3_000))
tops = st.builds(
    Top,
    look=st.sampled_from(sorted(LOOKS)),
    length_len=st.integers(inches(2), inches(360)),
    width_len=st.integers(inches(1), inches(120)),
    strips_len=st.lists(st.integers(inches("1/2"), inches(24)), max_size=24).map(tuple),
    ends_len=st.integers(0, inches("9/10")),
    seed=st.text(max_size=12),
)


def a_top(**different: object) -> Top:
    size = {"length_len": inches(98), "width_len": inches(40), "strips_len": (inches(6),) * 7}
    return Top(**{"look": "walnut", **size, "seed": "2026-003-1", **different})


def corners(path: str) -> list[tuple[int, int]]:
    """Every corner of a drawn path; its lines are counted from the corner before."""
    found = []
    for closed in re.findall(r"M[^M]+", path):
        x, y, *steps = (int(number) for number in re.findall(r"-?\d+", closed))
        if re.search(r"[hvH]", closed):  # a pore, or the ground
            found += [(x, y), (x + steps[0], y) if "h" in closed else (x, y + steps[0])]
            continue
        found.append((x, y))
        for dx, dy in zip(steps[::2], steps[1::2], strict=True):
            x, y = x + dx, y + dy
            found.append((x, y))
    return found


@given(tops, st.sampled_from((WHOLE, SMALL)))
@settings(max_examples=25, deadline=None)
def test_a_top_is_drawn_the_same_each_time_and_inside_its_box(top: Top, detail: Detail):
    drawn = draw(top, detail)
    assert drawn == draw(top, detail)
    svg = ElementTree.fromstring(drawn)
    _, _, wide, high = map(int, svg.get("viewBox").split())
    for path in svg.iter(f"{SVG}path"):
        for x, y in corners(path.get("d")):
            assert 0 <= x <= wide and 0 <= y <= high


@given(tops)
@settings(max_examples=25, deadline=None)
def test_a_top_is_small_on_the_wire(top: Top):
    for detail, most in MOST_BYTES:
        assert len(gzip.compress(draw(top, detail).encode())) <= most


@pytest.mark.parametrize("look", sorted(LOOKS))
@pytest.mark.parametrize("count", [1, 24, MOST_STRIPS])
def test_even_the_widest_top_of_the_most_strips_is_small(look: str, count: int):
    top = a_top(look=look, length_len=inches(120), width_len=inches(120), strips_len=(1,) * count)
    for detail, most in MOST_BYTES:
        assert len(gzip.compress(draw(top, detail).encode())) <= most * (1 if count < 25 else 2)


def test_another_seed_another_top():
    assert draw(a_top()) != draw(a_top(seed="2026-004-1"))


def test_strips_are_as_wide_as_they_are_laid_out():
    joints = ElementTree.fromstring(draw(a_top(strips_len=(inches(1), inches(3))))).findall(f"{SVG}path")
    glue = next(path for path in joints if path.get("fill") == "none")
    assert sorted({y for _, y in corners(glue.get("d"))}) == [0, 102, 408]


def test_breadboard_ends_lie_across():
    joints = ElementTree.fromstring(draw(a_top(ends_len=inches(7)))).findall(f"{SVG}path")
    glue = next(path for path in joints if path.get("fill") == "none")
    assert {x for x, _ in corners(glue.get("d"))} == {0, 71, 929, 1000}


def test_a_drawing_holds_nothing_but_shapes():
    assert not re.search(r"<script|<style|href|http(?!://www.w3.org/2000/svg)", draw(a_top()))


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"length_len": 0}, "length"),
        ({"width_len": -1}, "width"),
        ({"strips_len": (1, 0)}, "strips[2]"),
        ({"strips_len": (1,) * (MOST_STRIPS + 1)}, "strips"),
        ({"ends_len": inches(49)}, "ends"),
    ],
)
def test_what_cannot_be_drawn_is_refused(wrong: dict[str, object], field: str):
    with pytest.raises(OutOfRange) as refused:
        a_top(**wrong)
    assert refused.value.field == field


def test_every_species_of_the_tables_has_a_look():
    assert {one.name for one in species_list() if look_of(one.name) == ANY_WOOD} == set()


@pytest.mark.parametrize(
    ("name", "look"),
    [
        ("white oak (commercial)", "white-oak"),
        ("red oak (commercial)", "red-oak"),
        ("western redcedar", "redwood"),
        ("Douglas-fir (coast)", "pine"),
        ("dark heart of the yard (not in the table)", "walnut"),
        ("ipe (not in the table)", ANY_WOOD),
        (None, ANY_WOOD),
    ],
)
def test_a_wood_looks_as_its_name_says(name: str | None, look: str):
    assert look_of(name) == look


@pytest.mark.parametrize("look", sorted(LOOKS))
def test_the_strip_of_a_look_is_in_its_file(look: str):
    strip = Top(look=look, length_len=inches(66), width_len=inches(6), seed="strip")
    assert (STRIPS / f"strip-{look}.svg").read_text("utf-8") == draw(strip, STRIP) + "\n"
