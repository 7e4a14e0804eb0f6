"""Stages over the API: order, gates, overrides, undoing."""

import pytest

from tests.api.client import Api, head, refused
from tests.api.driving import Order

SURVEYED = {"way_in_measured": "yes", "drawing_approved": True, "sample_approved": "yes"}


@pytest.fixture
def order(api, accepted) -> Order:
    return Order(api, accepted)


def test_a_stage_is_started_and_finished(order, owner):
    started = order.ask("survey", "start").data["piece"]["stages"][0]
    assert (started["step"], started["started_by"]) == ("under way", owner.id)
    finished = order.ask("survey", "finish", {"minutes": 45, "measured": SURVEYED, "remark": "tight stair"})
    stage = finished.data["piece"]["stages"][0]
    assert (stage["step"], stage["minutes"], stage["remark"]) == ("done", 45, "tight stair")
    assert stage["measured"]["drawing_approved"] == {"yes": True}
    assert finished.data["piece"]["next"] == ["stock"]


def test_a_stage_before_what_precedes_it(order):
    before = head()
    answer = order.ask("glue-up", "start")
    error = refused(answer, 409, "not-yet", "stage")
    assert error["value"] == "glue-up"
    assert answer.data["first"] == ["dry-fit"]
    assert head() == before


def test_a_shut_gate_names_value_range_and_source_and_opens_with_a_reason(order):
    order.do("survey")
    order.ask("stock", "start")
    before = head()
    answer = order.ask("stock", "finish", {"minutes": 30, "measured": {"moisture_mean": "19"}})
    error = refused(answer, 409, "gate-shut", "measured.moisture_mean")
    assert error["pointer"] == "#/measured/moisture_mean"
    (shut,) = answer.data["shut"]
    assert (shut["value"], shut["allowed"]) == ("19 %", "4 % to 14 %")
    assert "Wood Handbook" in shut["source"]
    assert head() == before
    body = {"minutes": 30, "measured": {"moisture_mean": "19"}}
    refused(order.ask("stock", "finish", {**body, "override": {"moisture_mean": " "}}), 422, "invalid")
    passed = order.ask("stock", "finish", {**body, "override": {"moisture_mean": "kiln dried on site"}})
    stage = next(s for s in passed.data["piece"]["stages"] if s["key"] == "stock")
    assert (passed.status_code, stage["overrides"]) == (200, ["moisture_mean"])


def test_a_running_wait_refuses_its_followers(order):
    order.do("survey", "stock")
    before = head()
    answer = order.ask("rough-mill", "start", {"measured": order.good("rough-mill", "start")})
    refused(answer, 409, "gate-shut")
    (shut,) = answer.data["shut"]
    assert (shut["key"], shut["value"]) == ("wait:settle", "still running")
    assert head() == before


def test_two_phones_finish_the_same_stage(order, maker):
    order.ask("survey", "start")
    other = Order(Api(maker), order.piece)
    assert order.finish("survey").status_code == 200
    before = head()
    answer = other.ask("survey", "finish", {"measured": SURVEYED})
    error = refused(answer, 409, "already-done", "stage")
    assert error["value"] == "survey"
    assert answer.data["by"] == "Ada Lindenau"
    assert head() == before


def test_a_length_is_measured_in_the_unit_asked_for(order):
    order.do_until("rough-mill")
    assert order.start("final-mill").status_code == 200
    body = {"measured": {"milled_thickness": "45"}, "minutes": 5}
    answer = order.api.post(f"pieces/{order.piece}/stages/final-mill/finish/?unit=mm", body)
    stage = next(s for s in answer.data["piece"]["stages"] if s["key"] == "final-mill")
    assert stage["measured"]["milled_thickness"]["length"] == {
        "units": 360_000, "in": '≈ 1 49/64"', "mm": "45 mm",
    }  # fmt: skip


@pytest.mark.parametrize(
    "body, status, code, field",
    [
        ({"measured": {"hue": "7"}}, 422, "invalid", "measured.hue"),
        ({"measured": {"moisture_mean": "wet"}}, 422, "unreadable", "measured.moisture_mean"),
        ({"measured": {"moisture_mean": "-1"}}, 422, "unreadable", "measured.moisture_mean"),
        ({"measured": {"moisture_mean": "101"}}, 422, "out-of-range", "measured.moisture_mean"),
        ({"measured": {"moisture_mean": []}}, 422, "invalid", "measured.moisture_mean"),
        ({"measured": "seven"}, 422, "invalid", "measured"),
        ({"minutes": -1, "measured": {"moisture_mean": "8"}}, 422, "invalid", "minutes"),
        ({"minutes": 1e9, "measured": {"moisture_mean": "8"}}, 422, "invalid", "minutes"),
        ({"minutes": "soon"}, 422, "invalid", "minutes"),
        ({"measured": {}}, 409, "gate-shut", "measured.moisture_mean"),
    ],
)
def test_measurements_that_cannot_be(order, body, status, code, field):
    order.do("survey")
    order.ask("stock", "start")
    before = head()
    error = refused(order.ask("stock", "finish", body), status, code, field)
    assert error["allowed"]
    assert error["pointer"] == "#/" + field.replace(".", "/")
    assert head() == before


def test_a_start_is_put_back_and_a_finished_stage_reopened(order):
    order.ask("survey", "start")
    assert order.ask("survey", "put-back").data["piece"]["stages"][0]["step"] == "planned"
    refused(order.ask("survey", "put-back"), 409, "not-yet", "stage")
    order.do("survey")
    refused(order.ask("survey", "reopen", {"reason": ""}), 422, "invalid", "reason")
    refused(order.ask("survey", "reopen"), 422, "invalid", "reason")
    reopened = order.ask("survey", "reopen", {"reason": "the drawing was the old one"})
    assert reopened.data["piece"]["stages"][0]["step"] == "under way"
    order.finish("survey")
    order.ask("stock", "start")
    answer = order.ask("survey", "reopen", {"reason": "again"})
    refused(answer, 409, "wrong-state", "stage")
    assert answer.data["first"] == ["stock"]


def test_stages_and_pieces_that_are_not_there(order):
    refused(order.ask("polish", "start"), 404, "not-found", "stage")
    refused(Order(order.api, "2026-001-9").ask("survey", "start"), 404, "not-found", "stage")


def test_the_owners_stages_are_not_for_a_maker(order, maker, number):
    order.do_until("wrap")
    order.api.post(f"commissions/{number}/checklist/")
    order.do("deliver")
    before = head()
    refused(Order(Api(maker), order.piece).ask("paid", "start"), 403, "forbidden")
    assert head() == before


def test_a_stage_says_what_to_do_and_is_done_at_once(order):
    assert order.stage("survey")["do"] == "Measure up and get the drawing approved"
    answer = order.ask("survey", "do", {"measured": SURVEYED})
    stage = answer.data["piece"]["stages"][0]
    assert (stage["step"], stage["minutes"]) == ("done", None)
    assert stage["started_at"] == stage["finished_at"]
    timed = order.ask("survey", "time", {"minutes": 30})
    assert timed.data["piece"]["stages"][0]["minutes"] == 30
    refused(order.ask("stock", "time", {"minutes": 30}), 409, "wrong-state", "stage")


def test_the_card_of_a_stage_says_what_follows_and_what_is_known(api, maker_api, order):
    card = api.get(f"pieces/{order.piece}/stages/stock/card/").data
    (wait,) = card["then"]
    assert (wait["title"], wait["seconds"]) == ("Stock settling", 7 * 24 * 3600)
    assert (card["minutes"], card["known"], card["met"]) == (None, {}, [])
    refused(maker_api.get(f"pieces/{order.piece}/stages/paid/card/"), 403, "forbidden")
