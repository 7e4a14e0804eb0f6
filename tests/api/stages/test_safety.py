"""Safety tasks over the API."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import SafetyTask
from tests.api.client import head, refused
from tests.shop_fixtures import ROUTES, SHORT, Work, quick_sheets


@pytest.fixture
def task(owner, settings) -> SafetyTask:
    """Return the task of a coat finished twenty minutes ago, in a shop that closes in two hours."""
    settings.ROUTES_DIR = ROUTES
    work = Work(owner, now=timezone.now() - timedelta(days=3))
    quick_sheets(work.call())
    piece = work.accepted(**SHORT | {"finish_face": "quick-oil"})
    work.do_until(piece, "flatten")
    work.now = timezone.now() - timedelta(minutes=31)
    work.do(piece, "seal-1")
    SafetyTask.objects.update(closing_at=timezone.now() + timedelta(hours=2))
    return SafetyTask.objects.get()


def test_an_open_task_is_listed_with_its_caution(api, maker_api, task):
    (shown,) = maker_api.get("safety/").data
    assert (shown["id"], shown["kind"], shown["question"]) == (task.id, "rags", "Rags dealt with?")
    assert shown["is_due"] and shown["stage_title"] == "Sealing coat, 1 of 1"
    assert "NFPA" in shown["caution"]["source"]
    assert api.get("bench/").data["safety"] == api.get("safety/").data


def test_it_is_settled_with_words_and_once(api, maker_api, task):
    before = head()
    for nothing in ("", " "):
        refused(api.post(f"safety/{task.id}/settle/", {"how": nothing}), 422, "invalid", "how")
    refused(api.post(f"safety/{task.id}/settle/", {}), 422, "invalid", "how")
    assert head() == before
    same = {"Idempotency_Key": "k-1"}
    done = maker_api.post(f"safety/{task.id}/settle/", {"how": "drowned in the can"}, **same)
    assert done.status_code == 200 and done.data["tasks"] == []
    again = maker_api.post(f"safety/{task.id}/settle/", {"how": "drowned in the can"}, **same)
    assert again.data["replayed"] and again.data["events"] == done.data["events"]
    refused(api.post(f"safety/{task.id}/settle/", {"how": "spread out"}), 409, "already-done", "task")
    refused(api.post("safety/5/settle/", {"how": "spread out"}), 404, "not-found", "task")


def test_it_is_put_off_up_to_closing_only(api, task):
    late = (task.closing_at + timedelta(seconds=1)).isoformat()
    assert (
        "up to"
        in refused(api.post(f"safety/{task.id}/put-off/", {"until": late}), 422, "invalid", "until")[
            "allowed"
        ]
    )
    put_off = api.post(f"safety/{task.id}/put-off/", {"until": task.closing_at.isoformat()})
    assert put_off.data["tasks"][0]["due_at"] == put_off.data["tasks"][0]["closing_at"]


def test_the_closing_time_is_a_setting(api):
    assert api.get("shop/").data["closing_time"] == "17:30"
    assert api.patch("shop/", {"closing_time": "16:15"}).data["shop"]["closing_time"] == "16:15"
    refused(api.patch("shop/", {"closing_time": "24:00"}), 422, "invalid", "closing_time")
