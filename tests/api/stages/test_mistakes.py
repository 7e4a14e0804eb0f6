"""Pauses, skips, redoing, corrections, edited routes and templates over the API."""

import pytest

from calcs.kit.units import inches
from tests.api.client import Api, head, refused
from tests.api.driving import Order

OWN = """
key = "shelf"
title = "Shelf"
[[stage]]
key = "make"
title = "Made"
[[stage]]
key = "deliver"
title = "Delivered"
after = ["make"]
marks = "delivered"
"""


@pytest.fixture
def order(api, accepted) -> Order:
    return Order(api, accepted)


def test_the_clock_of_a_stage_is_stopped_and_goes_on(order):
    refused(order.ask("survey", "pause"), 409, "not-yet", "stage")
    order.ask("survey", "start")
    assert order.stage("survey")["paused"] is False
    order.ask("survey", "pause")
    assert (order.stage("survey")["paused"], order.stage("survey")["worked_min"]) == (True, 0)
    assert order.api.get("bench/").data["under_way"][0]["paused"] is True
    refused(order.ask("survey", "pause"), 409, "already-done", "stage")
    order.ask("survey", "resume")
    assert order.stage("survey")["paused"] is False
    refused(order.ask("survey", "resume"), 409, "already-done", "stage")


def test_a_stage_is_skipped_with_a_reason_and_put_back(order):
    order.do_until("rip")
    refused(order.ask("layout", "skip", {"reason": " "}), 422, "invalid", "reason")
    order.ask("layout", "skip", {"reason": "laid out already"})
    assert (order.stage("layout")["step"], order.stage("layout")["remark"]) == ("skipped", "laid out already")
    assert order.shown["next"] == ["joinery"]
    order.ask("layout", "put-back")
    assert order.stage("layout")["step"] == "planned"


# A re-ripped joint costs 3/16 in of width (common practice, no source).
def test_redone_work_stays_on_record_and_costs_width(order):
    order.do_until("joinery")
    refused(
        order.ask("joinery", "redo", {"reason": "x", "joints_ripped": 61}), 422, "invalid", "joints_ripped"
    )
    order.ask("joinery", "redo", {"reason": "two joints opened", "joints_ripped": 2})
    stage = order.stage("joinery")
    (earlier,) = stage["attempts"]
    assert (stage["step"], stage["attempt"]) == ("planned", 2)
    assert (earlier["number"], earlier["minutes"], earlier["reason"]) == (1, 10, "two joints opened")
    assert order.shown["inputs"]["lost_width"]["units"] == inches("3/8")


def test_a_corrected_measurement_and_the_limits_it_is_held_to(order):
    order.do_until("stock")
    body = {"gate": "moisture_mean", "value": "9", "reason": "meter set to oak"}
    order.ask("stock", "correct", body)
    assert order.stage("stock")["measured"]["moisture_mean"]["pct"] == "9"
    before = head()
    refused(
        order.ask("stock", "correct", {**body, "value": "19"}), 409, "gate-shut", "measured.moisture_mean"
    )
    error = refused(order.ask("stock", "correct", {**body, "gate": "hue"}), 422, "invalid", "gate")
    assert "moisture_mean" in error["allowed"] and head() == before
    order.ask("stock", "correct", {**body, "value": "19", "override": "it rests a week more"})
    assert order.stage("stock")["overrides"] == ["moisture_mean"]


def test_a_route_is_changed_and_a_ring_names_its_stages(order):
    route = f"pieces/{order.piece}/route/"
    body = {"title": "Fill knots", "after": ["final-flatten"], "before": ["square-ends"]}
    shown = order.api.post(route, body).data["piece"]
    added = next(s for s in shown["stages"] if s["key"] == "added-1")
    assert (added["title"], added["after"], shown["route_edited"]) == ("Fill knots", ["final-flatten"], True)
    order.api.post(f"{route}added-1/move/", {"after": ["rough-flatten"]})
    before = head()
    ring = order.api.post(f"{route}rip/move/", {"after": ["added-1"]})
    error = refused(ring, 422, "invalid", "after")
    assert "rip" in error["value"] and "Fill knots" in error["detail"] and head() == before
    refused(order.api.post(route, {**body, "place": "attic"}), 422, "invalid", "place")
    refused(order.api.post(route, {**body, "after": ["no-such"]}), 422, "invalid", "after")
    shown = order.api.delete(f"{route}added-1/").data["piece"]
    assert "added-1" not in [s["key"] for s in shown["stages"]]
    refused(order.api.delete(f"{route}deliver/"), 409, "wrong-state", "stage")


def test_templates_have_versions_and_are_the_owners(api, maker):
    known = {t["key"]: t for t in api.get("templates/").data}
    assert known["edge-glued-film"]["version"] == 0 and "[[stage]]" in known["edge-glued-film"]["text"]
    made = api.post("templates/", {"text": OWN})
    assert (made.status_code, made.headers["Location"]) == (201, "/api/v1/templates/shelf/")
    api.post("templates/", {"text": OWN.replace('"Shelf"', '"Wall shelf"')})
    shelf = api.get("templates/shelf/").data
    assert (shelf["version"], shelf["title"]) == (2, "Wall shelf")
    assert [(v["version"], bool(v["set_at"])) for v in shelf["versions"]] == [(1, True), (2, True)]
    first = api.get("templates/shelf/?version=1").data
    assert (first["version"], first["text"], first["versions"]) == (1, OWN, shelf["versions"])
    error = refused(api.get("templates/shelf/?version=3"), 404, "not-found", "version")
    assert error["allowed"] == "1, 2"
    own_film = known["edge-glued-film"]["text"].replace("Edge-glued", "Glued")
    api.post("templates/", {"text": own_film})
    assert api.get("templates/edge-glued-film/").data["text"] == own_film
    of_the_file = api.get("templates/edge-glued-film/?version=0").data
    assert of_the_file["text"] == known["edge-glued-film"]["text"]
    assert of_the_file["versions"][0] == {"version": 0, "set_at": None}
    before = head()
    error = refused(api.post("templates/", {"text": OWN.replace('["make"]', '["varnish"]')}), 422, "invalid")
    assert error == {} and head() == before
    refused(api.post("templates/", {"text": "key = "}), 422, "invalid")
    refused(api.get("templates/no-such/"), 404, "not-found", "template")
    refused(Api(maker).post("templates/", {"text": OWN}), 403, "forbidden")
