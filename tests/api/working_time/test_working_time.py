"""Hours, days off and a client's days over the API."""

from datetime import timedelta

from django.utils import timezone

from tests.api.client import head, refused

FREE: list[list[list[str]]] = [[], [], [], [], [], [], []]


def test_hours_are_set_and_read_again(api, owner):
    usual = api.get("working-time/").data
    assert usual["interruptions_pct"] == "15" and usual["people"][0]["is_usual"]
    assert usual["people"][0]["minutes_a_week"] == 5 * 510
    week = [[["08:00", "12:00"], ["13:00", "17:00"]], *FREE[1:]]
    asked = {"week": week, "limits": {"heavy lifting": "not alone"}, "back_until": "21:00"}
    hours = api.put(f"working-time/people/{owner.id}/", asked).data["hours"]
    assert (hours["week"], hours["limits"], hours["is_usual"]) == (week, asked["limits"], False)
    assert api.get("working-time/").data["people"] == [hours]


def test_hours_that_overlap_are_refused_with_field_value_and_what_is_allowed(api, owner):
    before = head()
    week = [[["08:00", "12:00"], ["11:00", "17:00"]], *FREE[1:]]
    problem = refused(api.put(f"working-time/people/{owner.id}/", {"week": week}), 422, "invalid", "week[0]")
    assert "08:00 to 12:00 and 11:00 to 17:00" in problem["value"]
    refused(api.put("working-time/people/nobody/", {}), 422, "invalid", field="who")
    assert head() == before


def test_a_maker_takes_their_own_days_off_and_the_owner_closes_the_shop(api, maker_api):
    day = (timezone.localdate() + timedelta(days=7)).isoformat()
    me = maker_api.get("me/").data["id"]
    made = maker_api.post("working-time/days-off/", {"who": me, "first": day, "reason": "dentist"})
    assert made.status_code == 201 and made.data["day_off"]["last"] == day
    refused(maker_api.post("working-time/days-off/", {"first": day}), 403, "forbidden")
    closed = api.post("working-time/days-off/", {"first": day, "reason": "Fair"}).data["day_off"]
    assert {one["reason"] for one in api.get("working-time/").data["days_off"]} == {"dentist", "Fair"}
    gone = api.delete(f"working-time/days-off/{closed['id']}/")
    assert gone.data["day_off"] is None
    refused(api.delete(f"working-time/days-off/{closed['id']}/"), 409, "already-done")


def test_a_clients_days_and_a_firm_promise(api, number):
    day = timezone.localdate() + timedelta(days=7)
    promise = api.post(f"commissions/{number}/blackouts/", {"first": day.isoformat()}).data["promise"]
    assert promise["firmness"] == "usual" and len(promise["blackouts"]) == 1
    assert (
        api.put(f"commissions/{number}/firmness/", {"firmness": "must"}).data["promise"]["firmness"] == "must"
    )
    found = api.get("working-time/").data
    assert [one["firmness"] for one in found["firm_promises"]] == ["must"]
    at = {"commission": number, "kind": "delivery", "day": day.isoformat()}
    refused(api.post("appointments/", at), 409, "say-it-is-meant", field="anyway")
    assert api.post("appointments/", {**at, "anyway": True}).status_code == 201
    ended = api.delete(f"commissions/{number}/blackouts/{found['blackouts'][0]['id']}/")
    assert ended.data["promise"]["blackouts"] == []
