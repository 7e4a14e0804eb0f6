"""The calculator's pages: every calculation answers on its page, and shows a refusal beside its field."""

import re

import pytest

from calcs.catalogue import CALCULATIONS
from jobs.models import Piece
from tests.web.pages import Pages, head

RAW = re.compile(r"\b[a-z]+_[a-z]+\b|\d{8}|[{}]")
TYPED = {"HX-Request": "true", "HX-Current-URL": "http://testserver/calculator/"}


def answer_of(text: str) -> str:
    """Return the figures, without notes and sources, which may cite the symbols of a standard."""
    return text.split('id="answer"', 1)[-1].split("Sources<")[0].split('<p class="small soft"')[0]


@pytest.mark.parametrize("name", CALCULATIONS)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_every_calculation_answers_its_example(pages: Pages, name: str, unit: str):
    pages.person.unit, pages.person.temperature_unit = unit, "F" if unit == "in" else "C"
    pages.person.save()
    page = pages.get(f"/calculator/{name}/")
    assert page.errors == {} and "No answer yet" not in page.words
    assert CALCULATIONS[name].question in page.words and "Sources" in page.words
    words = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", "", answer_of(page.text), flags=re.S))
    assert RAW.findall(words) == []
    again = pages.send(f"/calculator/{name}/", status=200)  # the page without its script
    assert again.errors == {} and "No answer yet" not in again.words


def test_a_refusal_stands_beside_its_field_while_typing_and_nothing_is_written(pages: Pages):
    before = head()
    form = pages.get("/calculator/weight/").form("/calculator/weight/")
    page = pages.post("/calculator/weight/", {**form.typed, "width": "12 yards"}, 200, **TYPED)
    told = re.search(r'id="wrong_width" hx-swap-oob="true">([^<]+)<', page.text)
    assert told and "12 yards" in told[1] and "No answer yet" in page.words
    assert re.search(r'id="wrong_length" hx-swap-oob="true"><', page.text)
    whole = pages.post("/calculator/weight/", {**form.typed, "width": "12 yards"}, 422)
    assert "12 yards" in whole.errors["width"] and 'value="12 yards"' in whole.text
    assert head() == before


# Twice as wide is twice as heavy, whatever the table of densities says; 32 in are 812.8 mm.
def test_what_is_typed_is_answered(pages: Pages):
    form = pages.get("/calculator/weight/").form("/calculator/weight/")

    def pounds(width: str) -> float:
        page = pages.post("/calculator/weight/", {**form.typed, "width": width}, 200, **TYPED)
        return float(re.search(r"Each\s*([\d.]+) lb", page.words)[1])

    assert pounds("64") == pytest.approx(2 * pounds("32"), abs=0.15)
    assert pounds("812.8 mm") == pounds("32")


def test_cans_are_counted_and_not_called_strips(pages: Pages):
    answer = answer_of(pages.get("/calculator/finishing/").text)
    assert "How many" in answer and "Strips" not in answer


def test_rows_are_typed_on_lines(pages: Pages):
    form = pages.get("/calculator/flips/").form("/calculator/flips/")
    assert form.typed["works"].splitlines()[:2] == ["flatten, show", "recesses, under"]
    typed = {"length": "60", "width": "32", "thickness": "2", "doors": "30, 78\r\n20, 20, hatch"}
    page = pages.post("/calculator/access/", typed, 200)
    assert "hatch" in answer_of(page.text)


def test_layout_is_drawn(pages: Pages):
    assert "<svg" in answer_of(pages.get("/calculator/layout/").text)


def test_costing_is_the_owners(maker_pages: Pages, pages: Pages):
    assert "Costing" not in maker_pages.get("/calculator/").words
    maker_pages.get("/calculator/costing/", 403)
    assert "Costing" in pages.get("/calculator/").words
    pages.get("/calculator/no-such-thing/", 404)


def test_a_piece_hands_its_figures_over(pages: Pages, slow_piece: Piece):
    page = pages.get(f"/pieces/{slow_piece.number}/figures/")
    links = re.findall(r'href="(/calculator/[^"]+)"', page.text)
    assert {link.split("/")[2] for link in links} == set(slow_piece.computed)
    for link in links:
        asked = pages.get(link)
        assert asked.errors == {} and "No answer yet" not in asked.words, link
    weight = pages.get(f"/calculator/weight/?piece={slow_piece.number}")
    assert f"{float(slow_piece.computed['weight']['result']['each_lb']):g} lb" in weight.words
