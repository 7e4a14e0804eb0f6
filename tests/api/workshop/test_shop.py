"""The shop's settings, sheets, species and routes over the API."""

import base64
import hashlib

import pytest

from tests.api.client import head, refused
from tests.documents.test_look import DRAWN
from tests.shop_fixtures import QUICK_GLUE


def test_settings_are_shown_and_set(api):
    before = api.get("shop/").data
    assert (before["currency"], before["name"], before["version"]) == ("USD", "", 0)
    asked = {"name": "Lindenau Table Works", "currency": "EUR", "tax_pct": "19", "paper_size": "A4"}
    changed = api.patch("shop/", asked).data["shop"]
    assert asked.items() <= changed.items()
    assert changed["deposit_pct"] == before["deposit_pct"]
    assert api.get("shop/").data == changed
    refused(api.patch("shop/", {"tax_pct": "7", "seen_version": 0}), 409, "stale", "seen_version")


def test_a_logo_is_set_shown_and_removed(api):
    sent = base64.b64encode(DRAWN).decode()
    refused(api.get("shop/logo/"), 404, "not-found", "logo")
    shown = api.post("shop/logo/", {"logo": sent, "seen_version": 0}).data["shop"]
    assert api.get("shop/").data == shown
    got = api.get("shop/logo/")
    assert (got["Content-Type"], hashlib.sha256(got.content).hexdigest()) == ("image/svg+xml", shown["logo"])
    assert "sandbox" in got["Content-Security-Policy"]
    refused(api.post("shop/logo/", {"logo": sent, "seen_version": 0}), 409, "stale", "seen_version")
    refused(api.post("shop/logo/", {"logo": base64.b64encode(b"GIF89a").decode()}), 422, "invalid", "logo")
    assert api.delete("shop/logo/").data["shop"]["logo"] == ""
    refused(api.delete("shop/logo/"), 409, "already-done", "logo")


@pytest.mark.parametrize(
    "asked, field",
    [
        ({"paper_color": "#fdd835"}, "paper_color"),
        ({"tax_pct": "101"}, "tax_pct"),
        ({"tax_pct": "-1"}, "tax_pct"),
        ({"tax_pct": "lots"}, "tax_pct"),
        ({"tax_pct": None}, "tax_pct"),
        ({"currency": "usd"}, "currency"),
        ({"disc_price": "-1"}, "disc_price"),
        ({"glue_prices": {"no-such-glue": "3"}}, "glue_prices"),
        ({"joinery_prices": {"dowel 9": "0.10"}}, "joinery_prices"),
        ({"hardware_prices": {"steel channel": "much"}}, "hardware_prices"),
        ({"paper_size": "A9"}, "paper_size"),
        ({"name": "x" * 4001}, "name"),
        ({"iban": "DE89 3704 0044 0532 0130 01"}, "iban"),
        ({"bic": "DEUTDEF"}, "bic"),
        ({"account_name": "x" * 71}, "account_name"),
        ({"endpoint": "9999:1"}, "endpoint"),
        ({"endpoint": "no address"}, "endpoint"),
        ({"pay_by": "coins"}, "pay_by"),
        ({"phone": "ring us"}, "phone"),
        ({"tax": "7"}, "tax"),
        ({}, "settings"),
    ],
)
def test_settings_that_cannot_be(api, asked, field):
    before = head()
    assert refused(api.patch("shop/", asked), 422, "invalid", field)["allowed"]
    assert head() == before


def test_a_bank_account_is_kept_without_its_spaces(api):
    asked = {"iban": "de89 3704 0044 0532 0130 00", "bic": "deutdeff", "endpoint": "9930:DE123456789"}
    shop = api.patch("shop/", asked).data["shop"]
    kept = ("DE89370400440532013000", "DEUTDEFF", "9930:DE123456789")
    assert (shop["iban"], shop["bic"], shop["endpoint"]) == kept
    assert api.patch("shop/", {"iban": ""}).data["shop"]["iban"] == ""


def test_sheets_have_versions_and_stand_beside_the_defaults_of_their_class(api):
    glues = {s["key"]: s for s in api.get("sheets/?kind=glue").data}
    assert glues["pva"]["version"] == 0
    assert glues["pva"]["data"]["source"]["unclamp_s"]
    made = api.post("sheets/", {"kind": "glue", "key": "quick-glue", "data": QUICK_GLUE})
    assert made.status_code == 201
    assert made.data["sheet"]["version"] == 1
    slower = {**QUICK_GLUE, "unclamp_s": "1 h", "machine_s": "2 h", "surface_s": "3 h", "full_s": "24 h"}
    assert (
        api.post("sheets/", {"kind": "glue", "key": "quick-glue", "data": slower}).data["sheet"]["version"]
        == 2
    )
    shown = api.get(made.headers["Location"]).data
    assert (shown["version"], shown["data"]["unclamp_s"]) == (2, 3600)
    assert {s["kind"] for s in api.get("sheets/").data} == {"glue", "finish"}


@pytest.mark.parametrize(
    "changed, code, field",
    [
        ({"unclamp_s": "-1"}, "unreadable", "data.unclamp_s"),
        ({"unclamp_s": "soon"}, "unreadable", "data.unclamp_s"),
        ({"family": "honey"}, "unknown", "data.family"),
        ({"min_temp_c": "200"}, "out-of-range", "data.min_temp_c"),
        ({"closed_s": 1}, "out-of-range", "data.closed_s"),
        ({"brightness": 3}, "unknown", "data.brightness"),
        ({"name": None}, "unreadable", "data.name"),
    ],
)
def test_sheets_that_cannot_be(api, changed, code, field):
    before = head()
    answer = api.post("sheets/", {"kind": "glue", "key": "odd", "data": {**QUICK_GLUE, **changed}})
    error = refused(answer, 422, code, field)
    assert error["allowed"]
    assert head() == before


def test_sheets_that_are_not_there(api):
    refused(api.get("sheets/glue/honey/"), 404, "not-found", "glue")
    refused(api.get("sheets/varnish/shellac/"), 404, "not-found", "kind")
    refused(api.get("sheets/?kind=varnish"), 422, "invalid", "kind")


@pytest.mark.parametrize(
    "query, inches, mm",
    [("text=6 13/32", '6 13/32"', "≈ 162.7 mm"), ("text=812&unit=mm", '≈ 31 31/32"', "812 mm")],
)
def test_how_a_length_is_read(api, query, inches, mm):
    read = api.get(f"length/?{query}").data
    assert (read["in"], read["mm"]) == (inches, mm)
    refused(api.get("length/?text=long"), 422, "unreadable", "text")
    refused(api.get("length/"), 422, "invalid", "text")


def test_species_and_routes(api):
    # Wood Handbook FPL-GTR-190 (2010), table 13-5: black walnut, radial 0.00190, tangential 0.00274.
    walnut = next(s for s in api.get("species/").data if s["name"] == "black walnut")
    assert (walnut["radial"], walnut["tangential"]) == ("0.00190", "0.00274")
    assert "13" in walnut["movement_source"]
    assert {r["key"] for r in api.get("routes/").data} >= {"edge-glued-film", "free-list"}


def test_the_places_where_the_air_is_measured_are_the_shops(api):
    assert api.get("shop/").data["places"][0] == "shop"
    api.patch("shop/", {"places": ["bench room", "loft"]})
    assert api.post("readings/", {"temperature": "20 C"}).data["kept"] == 1
    assert api.get("readings/").data["results"][0]["place"] == "bench room"
    for wrong in ([], ["loft", "loft"], [" "], [f"{n}" for n in range(13)]):
        assert api.patch("shop/", {"places": wrong}).status_code == 422


# 0.92 x 1.12 = 1030 kg/m³ at 12 % (Wood Handbook ch. 4: density = 1000 G (1 + M)).
def test_a_wood_of_the_shop_is_a_sheet_a_species_and_an_input_of_calculations(api):
    data = {
        "name": "ipe", "gravity": "0.92", "gravity_basis": "12%", "tangential_pct": "8", "radial_pct": "6.6",
        "elasticity_mpa": "22000", "oily": True, "source": {"gravity": "a fact sheet"},
    }  # fmt: skip
    made = api.post("sheets/", {"kind": "wood", "key": "ipe", "data": data}).data["sheet"]
    assert (made["kind"], made["version"]) == ("wood", 1)
    assert api.get("sheets/wood/ipe/").data["data"]["gravity"] == "0.92"
    last = api.get("species/").data[-1]
    assert (last["name"], last["gravity"], last["oily"]) == ("ipe", "0.92", True)
    sizes = {"length": "60", "width": "30", "thickness": "1.5", "mc_pct": "12"}
    answer = api.post("calcs/weight/", {**sizes, "species": "Ipe"}).data
    assert answer["result"]["density_kg_m3"]["value"] == "1030" and "a fact sheet" in answer["source"][0]
    bad = api.post("sheets/", {"kind": "wood", "key": "odd", "data": {**data, "name": "odd", "gravity": "9"}})
    assert refused(bad, 422, "out-of-range", "data.gravity")["allowed"]
