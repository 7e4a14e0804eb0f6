"""A calculation without a layout has its figures on the job sheet by their titles, in both units.

NIST SP 811 (2008), app. B: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 ft² = 0.09290304 m², °F = 1.8 °C + 32.
"""

from dataclasses import dataclass
from typing import Annotated

import pytest

from calcs.asking.figure_lists import titles_of
from calcs.asking.figures import Figure
from jobs.documents.job_sheet import _sheet
from jobs.documents.titled_section import titled
from jobs.domain.commissions.job_sheet import job_sheet
from jobs.domain.waits.queries import read_routes
from tests.documents.shop import a_shop
from tests.shop_fixtures import TOP

INCH = 203_200


@dataclass(frozen=True, kw_only=True)
class Hook:
    at_len: Annotated[int, Figure("From the end", near=True)]
    load_kg: Annotated[str, Figure("Load")]
    side: Annotated[str, Figure("Side")]


@dataclass(frozen=True, kw_only=True)
class Rack:
    wide_len: Annotated[int, Figure("Width")]
    rows_len: Annotated[tuple[int, ...], Figure("Rows")]
    each_kg: Annotated[str, Figure("Each")]
    each_lb: Annotated[str, Figure("Each")]
    area_m2: Annotated[str, Figure("Area")]
    dew_c: Annotated[str, Figure("Dew point")]
    spare_len: Annotated[int, Figure("Spare", quiet=True)]
    to_do: Annotated[tuple[str, ...], Figure("To do", sentence=True)]
    hooks: Annotated[tuple[Hook, ...], Figure("Hooks")]


RACK = {
    "wide_len": 2 * INCH, "rows_len": [INCH, 2 * INCH], "each_kg": "4.5", "each_lb": "10.0",
    "area_m2": "0.93", "dew_c": "10", "spare_len": 0, "to_do": ["drill", "oil"],
    "hooks": [{"at_len": 10 * INCH + 1000, "load_kg": "45.36", "side": "left (wall)"}],
}  # fmt: skip


def test_lines_say_each_figure_in_both_units():
    lines = {name: text.replace("\u00a0", " ") for name, text in titled(titles_of(Rack), RACK)["lines"]}
    assert lines == {
        "Width": '2" (50.8 mm)',
        "Rows": '1" (25.4 mm); 2" (50.8 mm)',
        "Each": "10.0 lb (4.5 kg)",
        "Area": "10.0 ft² (0.93 m²)",
        "Dew point": "50 °F (10 °C)",
        "To do": "Drill; oil.",
    }


def test_rows_are_a_table_with_their_titles():
    [table] = titled(titles_of(Rack), RACK)["tables"]
    assert (table["caption"], table["head"]) == ("Hooks:", ["From the end", "Load", "Side"])
    assert [[(c["text"], c["under"]) for c in row] for row in table["rows"]] == [
        [('10"', "255 mm"), ("100.0 lb", "45.36 kg"), ("left (wall)", "")]
    ]


@pytest.mark.django_db
def test_breadboard_ends_have_their_section_by_title():
    piece = a_shop().accepted(**TOP, route="edge-glued-breadboard")
    read = read_routes([piece])
    sheet = {**job_sheet(read.routes[0], read.texts), "drawing": "", "next": "http://localhost/next"}
    [section] = [one for one in _sheet(sheet)["sections"] if one["title"] == "Breadboard ends"]
    names = [line["name"] for line in section["lines"]]
    assert {"Length of the end", "Free at either end of the tongue", "Flush"} <= set(names)
    [pegs] = section["tables"]
    assert pegs["head"] == ["From the left edge", "Round hole", "Slot", "Peg from the slot's inner end"]
    assert [row[1]["text"] for row in pegs["rows"]] == ["no", "yes", "no"]


@pytest.mark.django_db
def test_a_sheet_frozen_before_a_calculation_came_goes_without_its_section():
    read = read_routes([a_shop().accepted()])
    sheet = {**job_sheet(read.routes[0], read.texts), "drawing": "", "next": "http://localhost/next"}
    del sheet["weight"]
    titles = [one["title"] for one in _sheet(sheet)["sections"]]
    assert "Lifting" in titles and "Weight" not in titles
