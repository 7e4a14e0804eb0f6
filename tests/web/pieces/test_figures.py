"""Figures of the calculations on a screen: each has a name in words and the reader's units."""

import re
from typing import Any

import pytest

from calcs.asking.answers import SAID
from calcs.asking.figure_lists import Titles
from jobs.core.units import Units
from jobs.domain.pieces.calculations import CALCULATIONS, PRICES, figures_of, inputs_of
from jobs.domain.stages.clamps import add_equipment
from jobs.models import Piece
from jobs.web.pieces.figure_formatting import label, value_words
from jobs.web.pieces.figures import calculations
from tests.shop_fixtures import INCHES, TOP, Work
from tests.web.pages import Pages

MILLIMETRES = Units(length="mm", temperature="C")
LONG = {**TOP, "length": "96", "width": "42", "thickness": "1 3/4"}
RAW = re.compile(r"[a-z]+_[a-z]")


@pytest.fixture
def pieces(work: Work) -> list[Piece]:
    """Return pieces that have every calculation between them."""
    add_equipment(work.call(), kind="clamp", count=6, reach="50", units=INCHES, name="long")
    stiff = work.accepted(**LONG, route="edge-glued-stiffened", stiffeners="yes")
    standing = {"base": "legs", "span": "60", "feet_width": "30", "door_width": "36", "door_height": "80"}
    return [stiff, work.accepted(**LONG, **standing, route="edge-glued-breadboard")]


def shown(piece: Piece, units: Units) -> list[dict[str, Any]]:
    return calculations({"computed": piece.computed, "stages": []}, units=units)


def untitled(titles: Titles, values: dict[str, Any]) -> set[str]:
    return set(values) - set(titles) - set(SAID)


def test_every_figure_of_a_record_has_a_title(pieces: list[Piece]):
    kept = [(name, each) for piece in pieces for name, each in piece.computed.items()]
    assert {name for name, _ in kept} == set(CALCULATIONS)
    assert {name: untitled(figures_of(name), each["result"]) for name, each in kept} == dict.fromkeys(
        CALCULATIONS, set()
    )
    assert {name: untitled(inputs_of(name), each["inputs"]) for name, each in kept} == dict.fromkeys(
        CALCULATIONS, set()
    )


@pytest.mark.parametrize("units", [INCHES, MILLIMETRES])
def test_no_raw_name_or_number_is_on_screen(pieces: list[Piece], units: Units):
    for piece in pieces:
        for calculation in shown(piece, units):
            cells = [
                cell for t in calculation["tables"] for row in t["rows"] for cell in (*row, *t["columns"])
            ]
            rows = [word for row in calculation["rows"] for word in row.values()]
            asked = [word for row in calculation["inputs"] for word in row.values()]
            said = (calculation["headline"], *cells, *rows, *asked, *calculation["sources"])
            told = [str(words) for words in said]  # lazy translations are rendered when they are shown
            assert [text for text in told if RAW.search(text) or re.search(r"\d{7}|[{}\[\]]", text)] == []


def test_an_input_without_a_name_is_called_as_the_calculation_asks_for_it():
    assert label(inputs_of("gluing"), "per_joint_s") == "Setting and closing a joint"


def test_prices_are_the_figures_of_money():
    assert {"cost", "price_per_bf"} == PRICES


@pytest.mark.parametrize(
    "name, value, inches, millimetres",
    [
        # NIST SP 811 (2008), app. B: 1 psi = 6.894757 kPa, 1 lbf = 4.448222 N, 1 US fl oz = 29.57353 mL.
        ("wanted_least_kpa", "1034", "150 psi", "1034 kPa"),
        ("force_least_n", "114431", "25725 lbf", "114431 N"),
        ("glue_ml", "340", "11.5 fl oz", "340 mL"),
        ("least_kg", "40.8", "89.9 lb", "40.8 kg"),  # 1 lb = 0.45359237 kg
        ("elasticity_mpa", "12741", "1.85 million psi", "12741 MPa"),
        ("depth_len", 203_200, '1"', "25.4 mm"),
        ("latest_s", 27_812, "7 h 43 min", "7 h 43 min"),
        ("earliest_s", 27_812, "7 h 44 min", "7 h 44 min"),
        ("positions_len", [203_200, 406_400], '1", 2"', "25.4 mm, 50.8 mm"),
    ],
)
def test_values_stand_in_the_readers_units(name: str, value: Any, inches: str, millimetres: str):
    assert value_words(name, value, INCHES) == inches
    assert value_words(name, value, MILLIMETRES) == millimetres


@pytest.mark.parametrize("wood", ["ipe (not in the table)", "l'orme <b>rouge</b> (not in the table)"])
def test_the_page_of_a_wood_outside_the_table_says_what_cannot_be_figured(work: Work, pages: Pages, wood):
    piece = work.accepted(**TOP | {"species": wood})
    page = pages.get(f"/commissions/{piece.commission.number}/")
    assert "No figures for " + wood.removesuffix(" (not in the table)") in page.text
    assert "<b>rouge</b>" not in page.answer.content.decode()
    refused = [c["refused"] for c in shown(piece, INCHES) if c.get("refused")]
    assert refused and all(type(words) is str for words in refused)


def test_another_piece_of_a_commission_is_offered_the_same_way_in(work: Work, pages: Pages):
    piece = work.accepted(**TOP, door_width="812 mm", door_height="80")
    page = pages.get(f"/commissions/{piece.commission.number}/pieces/new/")
    html = page.answer.content.decode()
    assert 'value="812 mm"' in html and 'value="80 in"' in html
