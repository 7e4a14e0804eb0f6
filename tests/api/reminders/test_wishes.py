"""Reminder preferences over the API, pushes, daily reminders, and lost reminders."""

from datetime import UTC, datetime, timedelta
from ipaddress import ip_network

import pytest

from jobs.models import Delivery, ReminderDue, ReminderPreference
from tests.api.client import refused
from tests.domain.reminders.sink import PushSink
from tests.shop_fixtures import Work, a_client, a_commission, accept_bare


@pytest.fixture
def sink(settings):
    settings.PUSH_NETWORKS = [ip_network("127.0.0.0/8")]
    with PushSink() as sink:
        yield sink


@pytest.fixture
def promised(owner):
    """Return an accepted commission promised for tomorrow, recorded a week ago."""
    work = Work(owner, now=datetime.now(UTC) - timedelta(days=7))
    tomorrow = (datetime.now(UTC) + timedelta(days=1)).date()
    commission = a_commission(work.call(), a_client(work.call()), promise_on=tomorrow)
    accept_bare(work.call(), commission=commission.number)
    return commission


def test_wishes_are_read_and_changed_one_kind_at_a_time(api, owner):
    usual = {w["kind"]: w for w in api.get("me/reminders/").data}
    assert usual["ready"] == {
        "kind": "ready", "by_mail": True, "by_push": True, "lead_min": 0, "may_wake": False, "repeat_min": 0,
    }  # fmt: skip
    assert not usual["payment due"]["by_push"]
    changed = api.patch("me/reminders/", {"kind": "ready", "lead_min": 15, "repeat_min": 30}).data
    assert {w["kind"]: w for w in changed}["ready"]["lead_min"] == 15
    refused(api.patch("me/reminders/", {"kind": "ready", "repeat_min": 2}), 422, "invalid", "repeat_min")
    refused(api.patch("me/reminders/", {"kind": "tea", "lead_min": 2}), 422, "invalid", "kind")
    assert ReminderPreference.objects.get().repeat_min == 30


def test_a_push_address_is_added_tried_and_taken_away_and_never_shown(api, owner, sink):
    made = api.post("me/push/", {"url": sink.url, "label": "phone"}, status=201)
    shown = api.get("me/push/")
    assert sink.secret not in str(made.data) + str(shown.data)
    assert (shown.data[0]["label"], shown.data[0]["scheme"]) == ("phone", "json")
    assert api.post("me/push/test/").data[0]["error"] == ""
    assert len(sink.pushes) == 1
    sink.status = 503
    error = refused(api.post("me/push/test/"), 422, "invalid", "url")
    assert "503" in error["detail"] and sink.secret not in str(error)
    error = refused(api.post("me/push/", {"url": "nosuch://hush-hush"}), 422, "invalid", "url")
    assert "hush" not in str(error)
    assert api.delete(f"me/push/{shown.data[0]['id']}/").data == []
    refused(api.post("me/push/test/"), 422, "invalid", "url")


def test_what_is_told_of_the_day_is_listed_and_answered(api, promised):
    (told,) = [r for r in api.get("reminders/").data if r["kind"] == "promise at risk"]
    assert told["wait"] is None and told["subject"] == f"commission:{promised.number}"
    assert told["page"] == f"/commissions/{promised.number}/"
    assert "not ready" in told["title"] and told["title"] in str(api.get("bench/").data["reminders"])
    about = {name: told[name] for name in ("subject", "occasion", "kind")}
    refused(
        api.post("reminders/acknowledge/", {**about, "occasion": "2020-01-01"}), 404, "not-found", "subject"
    )
    refused(api.post("reminders/acknowledge/", {**about, "wait": 5}), 422, "invalid", "wait")
    assert api.post("reminders/acknowledge/", about).data["reminders"] == []


def test_a_commission_says_after_how_long_its_client_is_to_be_told(api, promised):
    path = f"commissions/{promised.number}/"
    assert api.get(path).data["tell_days"] is None
    assert api.patch(path, {"tell_days": 5}).data["commission"]["tell_days"] == 5
    assert ReminderDue.objects.filter(kind="client not told", channel="screen").count() == 1
    refused(api.patch(path, {"tell_days": 366}), 422, "invalid", "tell_days")
    api.patch("shop/", {"tell_client_days": 0, "morning": "07:00"})
    assert api.patch(path, {"tell_days": None}).data["commission"]["tell_days"] is None
    assert not ReminderDue.objects.filter(kind="client not told").exists()


def test_what_was_lost_is_sent_anew(api, promised, owner):
    due = ReminderDue.objects.filter(kind="promise at risk", channel="mail").get()
    lost = Delivery.objects.create(
        wait_key=0, subject=due.subject, occasion=due.occasion, kind=due.kind, person=owner.id,
        channel="mail", attempt=1, due_at=due.due_at, claimed_at=due.due_at, message_id="m",
        error="no such host", step=Delivery.Step.GIVEN_UP, tries=24,
    )  # fmt: skip
    (row,) = api.get("reminders/undelivered/").data
    assert (row["id"], row["subject"], row["piece"]) == (lost.id, due.subject, promised.number)
    (row,) = api.post(f"reminders/undelivered/{lost.id}/resend/").data
    assert (row["given_up"], row["tries"]) == (False, 0)
    refused(api.post("reminders/undelivered/999/resend/"), 404, "not-found", "delivery")
