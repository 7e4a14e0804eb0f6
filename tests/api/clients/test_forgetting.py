"""A client's data exported and erased, and quoted hours, over the API."""

import io
import json
import zipfile
from typing import Any

from tests.api.client import Api, head, refused


def declined(api: Api, client: int) -> str:
    made = api.post("commissions/", {"client": client, "title": "Shelf by the door"})
    number = str(made.data["commission"]["number"])
    api.post(f"commissions/{number}/move/", {"to": "declined", "reason": "too dear for them"})
    return number


def archive(answer: Any) -> zipfile.ZipFile:
    assert answer.headers["Content-Type"] == "application/zip"
    return zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))


def test_everything_about_a_client_is_handed_over(api: Api, client_id: int):
    number = declined(api, client_id)
    before = head()
    found = archive(api.get(f"clients/{client_id}/everything/"))
    client, commissions, history = (
        json.loads(found.read(f"{name}.json")) for name in ("client", "commissions", "history")
    )
    assert (client["name"], client["email"]) == ("Orla Fenwick", "orla@fenwick.example")
    assert [c["number"] for c in commissions] == [number]
    assert [e["what"] for e in history] == ["client_added", "commission_opened", "commission_moved"]
    assert history[2]["data"]["reason"] == "too dear for them"
    assert head() == before, "reading changes nothing"


def test_forgetting_is_shown_first_and_then_done(api: Api, client_id: int):
    number = declined(api, client_id)
    shown = api.get(f"clients/{client_id}/forget/").data
    assert (shown["hindrances"], shown["commissions"], shown["texts"]) == ([], [number], 4)
    error = refused(api.post(f"clients/{client_id}/forget/", {"confirm": "Orla"}), 422, "invalid", "confirm")
    assert error["value"] == "Orla"
    done = api.post(f"clients/{client_id}/forget/", {"confirm": "orla fenwick"})
    assert done.status_code == 200
    assert (done.data["client"]["name"], done.data["client"]["email"]) == ("forgotten client", "")
    again = api.post(f"clients/{client_id}/forget/", {"confirm": number})
    refused(again, 409, "wrong-state", "client")
    history = json.loads(archive(api.get(f"clients/{client_id}/everything/")).read("history.json"))
    assert "Orla" not in json.dumps(history)


def test_what_hinders_is_named(api: Api, client_id: int, number: str):
    shown = api.get(f"clients/{client_id}/forget/").data
    assert shown["hindrances"] == [f"{number} is enquiry"]
    error = refused(
        api.post(f"clients/{client_id}/forget/", {"confirm": number}), 409, "wrong-state", "client"
    )
    assert "ended" in error["allowed"]


def test_hours_of_a_quote_by_stage_stand_beside_what_was_spent(api: Api, number: str, piece: dict[str, Any]):
    api.patch("shop/", {"hourly_rate": "60"})
    asked = {"minutes": {piece["number"]: {"survey": "30", "glue-up": "90"}}}
    offer = api.post(f"commissions/{number}/quotes/", asked).data["offer"]
    assert offer["basis"]["pieces"][0]["hours"] == "2.00"
    view = api.get(f"commissions/{number}/hours/").data
    assert (view["quoted"], view["spent"], view["cost_quoted"]) == ("120", 0, "120.00")
    assert {s["kind"]: s["quoted"] for s in view["stages"] if s["quoted"]} == {
        "survey": "30", "glue-up": "90",
    }  # fmt: skip
    assert api.get("hours/rates/").data == []
    wrong = {"minutes": {piece["number"]: {"polish": "30"}}}
    refused(api.post(f"commissions/{number}/quotes/", wrong), 422, "invalid", "minutes")
    wrong = {"own_hours": [piece["number"]]}
    refused(api.post(f"commissions/{number}/quotes/", wrong), 409, "not-yet", "own_hours")


def test_a_draft_is_thrown_away(api: Api, number: str, piece: dict[str, Any]):
    asked = {"hours": {piece["number"]: "2"}}
    refused(api.post(f"commissions/{number}/quotes/", asked), 409, "not-yet", f"hours/{piece['number']}")
    api.patch("shop/", {"hourly_rate": "60"})
    offer = api.post(f"commissions/{number}/quotes/", asked).data["offer"]
    gone = api.delete(f"quotes/{offer['number']}/")
    assert (gone.status_code, gone.data["offer"]) == (200, None)
    assert api.get(f"commissions/{number}/quotes/").data == []
    refused(api.delete(f"quotes/{offer['number']}/"), 404, "not-found", "offer")


def test_a_paper_that_is_forgotten_keeps_its_number_alone(api: Api, client_id: int, number: str):
    line = {"description": "Desk for Orla", "unit_price": "100"}
    offer = api.post(f"commissions/{number}/quotes/", {"lines": [line]}).data["offer"]["number"]
    paper = api.post(f"quotes/{offer}/issue/").data["offer"]["paper"]
    api.post(f"commissions/{number}/move/", {"to": "declined", "reason": "too dear"})
    assert api.get(f"clients/{client_id}/forget/").data["papers"] == [paper]
    api.post(f"clients/{client_id}/forget/", {"confirm": number})
    seen = api.get(f"papers/{paper}/").data
    assert (seen["standing"], seen["content"], seen["has_file"]) == ("forgotten", {}, False)
    refused(api.get(f"papers/{paper}/pdf/"), 404, "not-found", "paper")


def test_a_job_sheet_is_stale_once_its_piece_was_changed(api: Api, accepted: str):
    number = accepted.rpartition("-")[0]
    sheet = api.post(f"commissions/{number}/job-sheet/").data["paper"]
    assert sheet["stale"] is False
    api.patch(f"pieces/{accepted}/", {"length": "61"})
    assert api.get(f"papers/{sheet['number']}/").data["stale"] is True
