"""Waits, reminders and the bench over the API. The sheets of these tests cure within seconds, for real."""

import time
from datetime import UTC, datetime, timedelta

import pytest

from jobs.models import Delivery
from tests.api.client import Api, head, refused
from tests.api.driving import Order
from tests.shop_fixtures import QUICK_GLUE


@pytest.fixture
def settling(api, accepted) -> dict:
    """Return the wait of stock that settles for a week."""
    Order(api, accepted).do("survey", "stock")
    (waiting,) = api.get("waits/").data
    return waiting


@pytest.fixture
def glued(api, accepted) -> Order:
    """Return an order just glued up: squeeze-out is due in a second, clamps in two."""
    order = Order(api, accepted)
    order.do_until("glue-up")
    return order


def test_a_running_wait_says_what_it_rests_on(settling):
    wait = settling["wait"]
    assert (wait["kind"], wait["holds"], wait["is_over"]) == ("settle", ["rough-mill"], False)
    assert wait["basis"]["source"]
    since, ready = (datetime.fromisoformat(wait[name]) for name in ("since", "ready_at"))
    assert ready - since == timedelta(days=7)  # the route's own figure for settling


def test_a_wait_is_ended_early_only_with_a_reason(api, settling):
    wait = settling["wait"]
    address = f"waits/{wait['id']}/finish/"
    before = head()
    refused(api.post(address), 409, "not-yet", "wait")
    assert head() == before
    ended = api.post(address, {"reason": "stock came from the next room"})
    assert ended.data["piece"]["waits"] == []
    assert "rough-mill" in ended.data["piece"]["next"]
    runs = api.post(f"waits/{wait['id']}/take-back/").data["piece"]
    assert [w["id"] for w in runs["waits"]] == [wait["id"]] and "rough-mill" not in runs["next"]
    assert runs["waits"][0]["ready_at"] == wait["ready_at"]
    refused(api.post(f"waits/{wait['id']}/take-back/"), 409, "wrong-state", "wait")
    api.post(address, {"reason": "stock came from the next room"})
    refused(api.post(address, {"reason": "again"}), 409, "already-done", "wait")
    refused(api.post("waits/1/finish/"), 404, "not-found", "wait")


def test_a_wait_that_began_earlier_is_put_right(api, settling):
    wait = settling["wait"]
    address = f"waits/{wait['id']}/correct-start/"
    refused(api.post(address, {"since": wait["since"], "reason": ""}), 422, "invalid", "reason")
    refused(api.post(address, {"since": "2000-01-01T00:00:00Z", "reason": "no"}), 422, "invalid", "since")
    told = api.post(address, {"since": wait["since"], "reason": "as it was"})
    assert told.data["piece"]["waits"][0]["since"] == wait["since"]


def test_a_reminder_comes_and_is_acknowledged_or_put_off(api, glued):
    assert api.get("reminders/").data == []
    time.sleep(2.1)
    due = {r["stage"] + " " + r["kind"]: r for r in api.get("reminders/").data}
    assert set(due) == {"glue-up window opens", "glue-up ready"}
    opens, ready = (due[f"glue-up {kind}"] for kind in ("window opens", "ready"))
    left = api.post("reminders/acknowledge/", {"wait": opens["wait"], "kind": opens["kind"]}).data[
        "reminders"
    ]
    assert [r["kind"] for r in left] == ["ready"]
    about = {"wait": opens["wait"], "kind": opens["kind"]}
    again = api.post("reminders/ask-again/", about).data["reminders"]
    assert {r["kind"] for r in again} == {"ready", "window opens"}
    refused(api.post("reminders/ask-again/", about), 404, "not-found", "subject")
    api.post("reminders/acknowledge/", about)
    later = (datetime.now(UTC) + timedelta(hours=1)).isoformat()
    put_off = api.post("reminders/snooze/", {"wait": ready["wait"], "kind": "ready", "until": later})
    assert put_off.data["reminders"] == []


def test_answers_to_reminders_that_cannot_be(api, settling):
    wait = settling["wait"]["id"]
    before = head()
    snooze = {"wait": wait, "kind": "ready", "until": "2020-01-01T00:00:00Z"}
    refused(api.post("reminders/snooze/", snooze), 422, "invalid", "until")
    naive = {**snooze, "until": "2999-01-01T00:00:00"}
    error = refused(api.post("reminders/snooze/", naive), 422, "invalid", "until")
    assert error["allowed"] == "a time with its zone such as 2026-05-24T14:30:00Z"
    refused(api.post("reminders/acknowledge/", {"wait": wait, "kind": "done"}), 422, "invalid", "kind")
    refused(api.post("reminders/acknowledge/", {"wait": 5, "kind": "ready"}), 404, "not-found", "wait")
    refused(api.post("reminders/acknowledge/", {"kind": "ready"}), 422, "invalid", "wait")
    refused(api.post("reminders/ask-again/", {"kind": "ready"}), 422, "invalid", "wait")
    refused(api.post("reminders/ask-again/", {"wait": wait, "kind": "ready"}), 404, "not-found", "subject")
    assert head() == before


def test_mail_that_did_not_arrive_is_listed(api, settling, owner):
    now = datetime.now(UTC)
    Delivery.objects.create(
        wait_key=settling["wait"]["id"], kind="ready", person=owner.id, channel="mail", attempt=1, due_at=now,
        claimed_at=now, message_id="m", error="no such host", step=Delivery.Step.GIVEN_UP,
    )  # fmt: skip
    (lost,) = api.get("reminders/undelivered/").data
    assert (lost["title"], lost["error"], lost["given_up"]) == ("Stock settling", "no such host", True)


def test_the_bench_shows_now(api, accepted, maker):
    """With time enough to look before it is due, on a busy machine too."""
    points = {"scrape_from_s": 8, "unclamp_s": 8, "machine_s": 9, "surface_s": 10, "full_s": 11}
    api.post("sheets/", {"kind": "glue", "key": "quick-glue", "data": QUICK_GLUE | points})
    Order(api, accepted).do_until("glue-up")
    bench = api.get("bench/").data
    assert {w["wait"]["kind"] for w in bench["waiting"]} == {"scrape", "unclamp"}
    assert bench["can_do"] == []
    time.sleep(8.1)
    bench = Api(maker).get("bench/").data
    assert {c["stage"] for c in bench["can_do"]} == {"scrape", "clamps-off"}
    assert [w["wait"]["kind"] for w in bench["must_not_miss"]] == ["scrape"]
    assert bench["can_do"][0]["commission_title"] == "Desk by the window"
