"""The plan is asked over the API: a promise, what if, how promises were kept."""

from datetime import date, timedelta

from django.utils import timezone

from jobs.models import Commission
from tests.api.client import head, refused
from tests.shop_fixtures import a_call, a_client, a_commission, a_piece


def test_a_promise_is_read_from_the_plan_and_nothing_is_written(api, owner):
    call = a_call(owner, timezone.now() - timedelta(hours=1))
    piece = a_piece(call, a_commission(call, a_client(call)))
    number, before = piece.commission.number, head()
    found = api.post("plan/promise/", {"commission": number, "hours": "20"}).data
    days = [found[name] for name in ("in_half", "in_eight_of_ten", "in_nineteen_of_twenty")]
    assert days == sorted(days) and date.fromisoformat(days[0]) > timezone.localdate()
    assert found["proposed"] > found["in_eight_of_ten"] and found["commission"] == number
    effects = api.post("plan/what-if/", {"accept": number}).data["effects"]
    assert [(one["commission"], one["before"]) for one in effects] == [(number, None)]
    assert head() == before and Commission.objects.get().step == Commission.Step.ENQUIRY


def test_what_cannot_be_asked_is_refused_by_its_field(api, owner):
    refused(api.post("plan/promise/", {}), 422, "invalid", field="commission")
    refused(api.post("plan/promise/", {"like": "2026-999-1"}), 404, "not-found", field="like")
    refused(api.post("plan/what-if/", {}), 422, "invalid", field="away")
    wrong = {"clamps": 4, "reach": "40 in", "glue": "butter"}
    problem = refused(api.post("plan/what-if/", wrong), 422, "invalid", field="glue")
    assert problem["value"] == "butter" and "epoxy" in problem["allowed"]
    refused(api.post("plan/what-if/", {"clamps": 4, "reach": "forty"}), 422, "unreadable", field="reach")


def test_what_was_learned_is_empty_in_a_new_shop(api, maker_api):
    assert maker_api.get("plan/learned/").data == {"shares": None, "kinds": [], "weeks": []}
