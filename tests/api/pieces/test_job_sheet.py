"""The job sheet and the drawing of a piece over the API."""

from xml.etree import ElementTree

import pytest

from jobs.domain.commissions.job_sheet import SECTIONS
from tests.api.client import refused
from tests.shop_fixtures import TOP

SVG = "{http://www.w3.org/2000/svg}"
INCH = 203_200


@pytest.fixture
def sheet(api, number):
    api.patch("shop/", {"price_per_board_foot": "14.50"})
    piece = api.post(f"commissions/{number}/pieces/", {**TOP, "stiffeners": True}).data["piece"]
    return api.get(f"pieces/{piece['number']}/job-sheet/").data


def test_the_rip_list_says_what_each_strip_is_cut_to(sheet):
    strips = sheet["rip_list"]["figures"]["strips"]
    assert [s["label"] for s in strips] == ["A", "B", "C", "D", "E"]
    # 30 in by at most 6 in is five strips of 6 in; 60 in and 2 in to square them.
    assert {(s["width"]["units"], s["cut"]["units"]) for s in strips} == {(6 * INCH, 62 * INCH)}
    assert [s["edges"] for s in strips] == ["right", "both", "both", "both", "left"]


def test_every_part_has_its_figures_and_where_they_come_from(sheet):
    without = {name for name in SECTIONS if sheet[name]["figures"] is None}
    assert without == {"breadboard", "sag", "tipping", "fixings", "way_in"}
    assert sheet["breadboard"]["why"] == "not figured for this piece"
    assert all(sheet[name]["source"] for name in SECTIONS if name not in without)
    assert sheet["slots"]["figures"]["positions"][0]["in"]
    assert sheet["glue"]["figures"]["stages"] and sheet["glue_times"]["figures"]["unclamp_s"]
    assert sheet["coats"]["figures"]["calendar"][0]["earliest_s"] == 0
    assert sheet["turns"]["figures"]["steps"] and sheet["lifting"]["figures"]["carry"]


def test_it_says_what_to_check_and_what_can_hurt(sheet):
    ticks = {t["stage"]: t for t in sheet["checklist"]}
    assert "Glue lot" in ticks["glue-up"]["checks"]
    assert not {"paid", "close"} & set(ticks)
    assert any(c["source"] and "dust" in c["text"] for c in sheet["cautions"])
    assert any("not proof of safety" in c["text"] for c in sheet["cautions"])
    assert sheet["warnings"]


def test_no_price_stands_on_it(sheet):
    assert not {"cost", "price_per_bf"} & set(sheet["lumber"]["figures"])
    assert "14.5" not in str(sheet)


def test_what_cannot_be_figured_says_why(api, number):
    piece = api.post(f"commissions/{number}/pieces/", {**TOP, "thickness": "3/8"}).data["piece"]
    slots = api.get(f"pieces/{piece['number']}/job-sheet/").data["slots"]
    assert slots["figures"] is None and "biscuit" in slots["why"]
    plain = {**TOP, "joinery": "plain glued"}
    piece = api.post(f"commissions/{number}/pieces/", plain).data["piece"]
    assert api.get(f"pieces/{piece['number']}/job-sheet/").data["slots"]["why"] == "plain glued: no slots"


def test_a_maker_works_from_it(maker_api, piece):
    assert maker_api.get(f"pieces/{piece['number']}/job-sheet/").status_code == 200
    assert maker_api.get(f"pieces/{piece['number']}/drawing.svg").status_code == 200


def test_the_drawing_is_an_image_by_itself(api, piece):
    answer = api.get(f"pieces/{piece['number']}/drawing.svg")
    assert answer.headers["Content-Type"] == "image/svg+xml"
    drawn = ElementTree.fromstring(answer.content)
    assert drawn.tag == f"{SVG}svg" and drawn.get("viewBox")
    shapes = [path.get("data-what") for path in drawn.iter(f"{SVG}path")]
    assert shapes.count("strip") == 5 and "slot" in shapes, "five strips, seen from the end"
    assert drawn.findtext(f"{SVG}title").startswith(piece["number"])


def test_every_drawing_is_a_sheet_in_the_shops_size_a_template_and_a_page(api, piece):
    place = f"pieces/{piece['number']}/"
    assert [one["view"] for one in api.get(f"{place}drawings/").data] == ["client", "glue-up"]
    sheet = ElementTree.fromstring(api.get(f"{place}drawing.svg?view=client").content)
    assert (sheet.get("width"), sheet.get("height")) == ("279.4mm", "215.90mm")
    said = {text.text for text in sheet.iter(f"{SVG}text")}
    assert {f"{piece['number']}-C", "Client drawing", "1/2", "For approval"} <= said
    template = api.get(f"{place}drawing.dxf?view=glue-up")
    assert template.headers["Content-Disposition"].endswith(f'{piece["number"]}-glue-up.dxf"')
    assert template.content.startswith(b"  0\nSECTION") and b"1:1 in inches" in template.content
    refused(api.get(f"{place}drawing.svg?view=underside"), 404, "not-found", "view")
    refused(api.get(f"{place}drawing.dxf?view=side"), 422, "invalid", "view")


def test_the_wood_is_an_image_whole_or_as_a_thumbnail(api, piece):
    whole, small = (api.get(f"pieces/{piece['number']}/wood.svg{end}") for end in ("", "?small=true"))
    assert whole.headers["Content-Type"] == small.headers["Content-Type"] == "image/svg+xml"
    assert len(small.content) < len(whole.content) and b"feTurbulence" in whole.content
    wood = api.get(f"pieces/{piece['number']}/").data["wood"]
    assert (wood["look"], wood["length"], wood["version"]) == ("walnut", piece["wood"]["length"], "1-1")


def test_without_a_layout_there_is_no_drawing(api, number):
    asked = {"route": "free-list", "label": "Two stools", "stages": ["Turn legs"]}
    piece = api.post(f"commissions/{number}/pieces/", asked).data["piece"]
    refused(api.get(f"pieces/{piece['number']}/drawing.svg"), 404, "not-found", "piece")
    refused(api.get(f"pieces/{piece['number']}/wood.svg"), 404, "not-found", "piece")
    assert api.get(f"pieces/{piece['number']}/job-sheet/").data["rip_list"]["figures"] is None
    refused(api.get("pieces/2026-999-1/drawing.svg"), 404, "not-found", "piece")


def test_hands_and_machines_of_the_shop(api):
    shop = api.patch("shop/", {"planer_width": "500", "unit": "mm", "people_at_hand": 2}).data["shop"]
    assert shop["planer_width"]["mm"] == "500 mm" and shop["jointer_width"] is None
    assert shop["people_at_hand"] == 2 and "8/4" in shop["stocked_thicknesses"]
    shop = api.patch("shop/", {"stocked_thicknesses": ["52 mm", "26 mm"]}).data["shop"]
    assert shop["stocked_thicknesses"] == ["26 mm", "52 mm"]
    for name, wrong, code in (
        ("planer_width", "3", "out-of-range"),
        ("jointer_width", "wide", "unreadable"),
        ("people_at_hand", "1.5", "invalid"),
        ("stocked_thicknesses", [], "invalid"),
    ):
        assert refused(api.patch("shop/", {name: wrong}), 422, code, name)["allowed"]
    unknown = api.patch("shop/", {"stocked_thicknesses": ["9/4"]})
    assert "8/4" in refused(unknown, 422, "invalid", "stocked_thicknesses.0")["allowed"]
    assert api.patch("shop/", {"planer_width": None}).data["shop"]["planer_width"] is None
