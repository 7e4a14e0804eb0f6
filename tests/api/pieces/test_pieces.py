"""Pieces over the API: lengths in both units, results with sources, what changed."""

import pytest

from jobs.models import Piece
from tests.api.client import head, refused
from tests.shop_fixtures import TOP

# NIST SP 811 (2008), appendix B: 1 in = 25.4 mm exactly; 1 mm is 8000 units of 1/8 micrometre.
INCH, MM = 203_200, 8_000


@pytest.mark.parametrize(
    "body, query, units, inches, mm",
    [
        ({"length": "60"}, "", 60 * INCH, '60"', "1524 mm"),
        ({"length": 60}, "", 60 * INCH, '60"', "1524 mm"),
        ({"length": "60 13/32"}, "", 60 * INCH + 13 * INCH // 32, '60 13/32"', "≈ 1534.3 mm"),
        ({"length": "1500 mm"}, "", 1500 * MM, '≈ 59 1/16"', "1500 mm"),
        ({"length": "1500", "unit": "mm"}, "", 1500 * MM, '≈ 59 1/16"', "1500 mm"),
        ({"length": 1500}, "?unit=mm", 1500 * MM, '≈ 59 1/16"', "1500 mm"),
        ({"length": 1500, "unit": "mm"}, "?unit=in", 1500 * MM, '≈ 59 1/16"', "1500 mm"),
        ({"length": 1500.5, "unit": "mm"}, "", 1500 * MM + MM // 2, '≈ 59 5/64"', "1500.5 mm"),
        ({"length": "5' 2\""}, "", 62 * INCH, '62"', "1574.8 mm"),
    ],
)
def test_lengths_come_in_as_typed_and_go_out_in_both_units(api, number, body, query, units, inches, mm):
    sizes = {"width": "762 mm", "thickness": "38 mm"}
    answer = api.post(f"commissions/{number}/pieces/{query}", {**TOP, **sizes, **body})
    assert answer.status_code == 201, answer.data
    assert answer.data["piece"]["inputs"]["length"] == {"units": units, "in": inches, "mm": mm}


def test_a_persons_unit_is_what_a_bare_number_means(api, number):
    api.patch("me/", {"unit": "mm"})
    sizes = {"length": "1500", "width": "750", "thickness": "40"}
    piece = api.post(f"commissions/{number}/pieces/", {**TOP, **sizes}).data["piece"]
    assert piece["inputs"]["length"]["units"] == 1500 * MM
    assert piece["inputs"]["typed"]["length"] == "1500 mm"
    api.patch("me/", {"unit": "in"})

    def flat_to(query: str) -> str:
        stages = api.get(f"pieces/{piece['number']}/{query}").data["stages"]
        return next(s for s in stages if s["key"] == "final-flatten")["gates"][0]["allowed"]

    assert flat_to("") == '0" to 1/16"'
    assert flat_to("?unit=mm") == "0 mm to ≈ 1.6 mm"


def test_results_stand_with_their_inputs_and_sources(api, piece):
    for name in ("lumber", "layout", "movement", "curing", "finishing", "weight", "lifting"):
        kept = piece["computed"][name]
        assert kept["source"], name
        assert kept["inputs"], name
    assert set(piece["computed"]["layout"]["result"]["strip"]) == {"units", "in", "mm"}
    stages = {s["key"]: s for s in piece["stages"]}
    assert stages["joinery"]["calcs"] == {"joinery": "computed"}
    assert stages["layout"]["calcs"] == {"layout": "computed", "movement": "computed"}


def test_a_change_shows_what_changed(api, piece):
    address = f"pieces/{piece['number']}/"
    changed = api.patch(address, {"width": "36", "seen_version": piece["version"]}).data["piece"]
    assert changed["revision"] == 2
    figures = {(c["calculation"], c["figure"]): c for c in changed["changed"]}
    strips = figures["layout", "count"]
    assert strips["before"] == piece["computed"]["layout"]["result"]["count"]
    assert strips["after"] == changed["computed"]["layout"]["result"]["count"]
    assert set(figures["layout", "sum"]["after"]) == {"units", "in", "mm"}
    refused(api.patch(address, {"width": "37", "seen_version": 1}), 409, "stale", "seen_version")


def test_a_changed_route_answers_with_the_version_that_the_next_change_needs(api, number):
    """Such a change can be several events: the answer holds the version of the last one."""
    piece = api.post(f"commissions/{number}/pieces/", {**TOP}).data["piece"]
    address = f"pieces/{piece['number']}/"
    listed = {"route": "free-list", "stages": ["Legs"], "seen_version": piece["version"]}
    changed = api.patch(address, listed).data["piece"]
    assert changed["version"] == Piece.objects.get(number=piece["number"]).version
    assert api.patch(address, {"label": "x", "seen_version": changed["version"]}).status_code == 200


def test_what_is_empty_goes_back_to_its_default_or_is_refused(api, piece):
    address = f"pieces/{piece['number']}/"
    api.patch(address, {"cut": "quartersawn", "board_width": "9", "waste_pct": "40", "quantity": "3"})
    emptied = {"cut": "", "board_width": "", "waste_pct": "", "quantity": ""}
    inputs = api.patch(address, emptied).data["piece"]["inputs"]
    assert {name: inputs[name] for name in emptied} == {name: piece["inputs"][name] for name in emptied}
    before = head()
    for name in ("length", "species", "label", "route"):
        assert refused(api.patch(address, {name: ""}), 422, "invalid", name)["allowed"]
    assert head() == before


def test_a_piece_with_its_own_list_of_stages(api, number):
    asked = {"label": "Two trestles", "route": "free-list", "stages": ["Cut the legs", "Wedge the tenons"]}
    piece = api.post(f"commissions/{number}/pieces/", asked).data["piece"]
    titles = [s["title"] for s in piece["stages"]]
    assert titles[:3] == ["Drawing approved", "Cut the legs", "Wedge the tenons"]
    assert piece["inputs"]["length"] is None


def test_a_piece_is_removed_while_nothing_has_begun(api, number, piece):
    gone = api.delete(f"pieces/{piece['number']}/?seen_version={piece['version']}")
    assert gone.status_code == 200
    assert gone.data["piece"] is None
    refused(api.get(f"pieces/{piece['number']}/"), 404, "not-found", "piece")
    second = api.post(f"commissions/{number}/pieces/", TOP).data["piece"]["number"]
    api.post(f"pieces/{second}/stages/survey/start/")
    before = head()
    refused(api.delete(f"pieces/{second}/"), 409, "wrong-state", "piece")
    refused(api.delete(f"pieces/{second}/?seen=1"), 422, "invalid", "seen")
    assert head() == before


@pytest.mark.parametrize(
    "asked, code, field",
    [
        ({"length": "-60"}, "out-of-range", "length"),
        ({"length": "90000"}, "out-of-range", "length"),
        ({"length": "0"}, "out-of-range", "length"),
        ({"length": "1,5"}, "unreadable", "length"),
        ({"length": ["60"]}, "invalid", "length"),
        ({"thickness": "1/0"}, "unreadable", "thickness"),
        ({"species": "unobtainium"}, "unknown", "species"),
        ({"quantity": "0"}, "invalid", "quantity"),
        ({"quantity": "1.5"}, "invalid", "quantity"),
        ({"glue": "honey"}, "not-found", "glue"),
        ({"route": "nowhere"}, "not-found", "route"),
        ({"cut": "sideways"}, "invalid", "cut"),
        ({"waste_pct": "101"}, "out-of-range", "waste_pct"),
        ({"label": ""}, "invalid", "label"),
        ({"colour": "red"}, "invalid", "colour"),
    ],
)
def test_what_cannot_be_made_is_refused_with_what_is_allowed(api, number, asked, code, field):
    before = head()
    answer = api.post(f"commissions/{number}/pieces/", {**TOP, **asked})
    error = refused(answer, 404 if code == "not-found" else 422, code, field)
    assert error["pointer"] == f"#/{field}"
    assert error["allowed"]
    assert head() == before


def test_a_figure_that_comes_or_goes_with_a_change_is_null_before_or_after(api, piece):
    came = api.patch(f"pieces/{piece['number']}/", {"stiffeners": "yes"}).data["piece"]["changed"]
    assert any(c["before"] is None and c["after"] is not None for c in came)
    went = api.patch(f"pieces/{piece['number']}/", {"stiffeners": "no"}).data["piece"]["changed"]
    assert any(c["before"] is not None and c["after"] is None for c in went)
