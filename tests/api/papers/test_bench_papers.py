"""Job and care sheets, the shopping list and labels over the API."""

import pytest

from tests.api.client import refused
from tests.shop_fixtures import TOP


@pytest.fixture
def piece(api, number):
    piece = api.post(f"commissions/{number}/pieces/", TOP).data["piece"]["number"]
    api.post(f"commissions/{number}/accept/", {"price": "2400", "promise_on": "2999-01-01"})
    return piece


def test_a_job_sheet_is_issued_once_with_what_it_says(api, number, piece):
    made = api.post(f"commissions/{number}/job-sheet/", {})
    assert made.status_code == 201 and made.data["paper"]["kind"] == "job-sheet"
    content = api.get(f"papers/{made.data['paper']['number']}/").data["content"]
    assert content["sheets"][0]["next"].endswith(f"/pieces/{piece}/next/")
    assert api.post(f"commissions/{number}/job-sheet/", {}).status_code == 409
    assert api.post(f"commissions/{number}/care-sheet/", {}).status_code == 409, "it is not in the shop yet"


def test_the_shopping_list_and_labels(api, number, piece):
    found = api.get("shopping/").data
    assert found["boards"][0]["species"] == "black walnut" and found["boards"][0]["pieces"] == [piece]
    assert {s["kind"] for s in found["supplies"]} == {"glue", "finish", "abrasive", "hardware"}
    assert all(s["buy"] for s in found["supplies"])
    [cut] = found["boards"][0]["cuts"]
    assert (cut["what"], cut["long"]["in"]) == ("strips", '62"')
    assert found["budget"]["total"] == "0.00" and "black walnut" in found["budget"]["unpriced"]
    assert api.get("boards/labels/?board=7").status_code == 404
    assert api.get(f"pieces/{piece}/label/?start=14").status_code == 200
    for at in (f"pieces/{piece}/label/", "boards/labels/"):
        refused(api.get(f"{at}?start=15"), 422, "invalid", "start")
