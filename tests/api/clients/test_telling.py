"""News, questions and the client's link over the API."""

from django.test import Client as Browser

from jobs.domain.clients.updates import ask_shop, client_actor
from jobs.models import ClientLink, Commission
from tests.api.client import refused
from tests.shop_fixtures import NOON, a_call


def test_news_are_proposed_told_once_and_listed(api, maker_api, number):
    assert "words" in api.get(f"commissions/{number}/updates/draft/").data
    told = {"words": "The boards are chosen"}
    made = maker_api.post(f"commissions/{number}/updates/", told, status=201, Idempotency_Key="once")
    again = maker_api.post(f"commissions/{number}/updates/", told, Idempotency_Key="once")
    assert again.data["replayed"] and made.data["update"]["mail"] == "waiting"
    (listed,) = api.get(f"commissions/{number}/updates/").data
    assert listed["words"] == "The boards are chosen" and listed["pictures"] == []
    refused(api.post(f"commissions/{number}/updates/", {"words": ""}), 422, "invalid", "words")
    refused(api.post(f"commissions/{number}/updates/", {**told, "pictures": [7]}), 422, "invalid", "pictures")
    refused(api.get("commissions/2020-001/updates/"), 404, "not-found", "commission")


def test_questions_are_listed_and_settled(api, maker_api, number):
    client = Commission.objects.get().client
    ask_shop(a_call(client_actor(client), NOON), commission=number, words="How is it?")
    (asked,) = maker_api.get("questions/").data
    assert (asked["commission"], asked["words"]) == (number, "How is it?")
    settled = maker_api.post(f"questions/{asked['id']}/settle/", {"how": "called"}).data["question"]
    assert settled["settled_at"] and settled["how"] == "called"
    assert api.get("questions/").data == [] and len(api.get(f"commissions/{number}/questions/").data) == 1
    refused(api.post(f"questions/{asked['id']}/settle/"), 409, "already-done", "question")
    refused(api.post("questions/5/settle/"), 404, "not-found", "question")


def test_the_owner_makes_and_revokes_the_link(api, maker_api, number):
    at = f"commissions/{number}/client-link/"
    assert api.get(at).data == {"made_at": None, "made_by": "", "links": []}
    url = api.post(at, status=201).data["url"]
    path = url[url.index("/c/") :]
    token = path.split("/")[2]
    assert len(token) >= 43 and token not in str(list(ClientLink.objects.values()))
    assert api.get(at).data["made_at"] and "url" not in api.get(at).data
    assert Browser().get(path).status_code == 200
    refused(maker_api.post(at), 403, "forbidden")
    (one,) = api.get(at).data["links"]
    assert one["mail"] == "" and one["made_at"]
    refused(maker_api.delete(f"{at}{one['id']}/"), 403, "forbidden")
    refused(api.delete(f"{at}{one['id'] + 1}/"), 404, "not-found", "link")
    assert api.delete(f"{at}{one['id']}/").data["links"] == []
    path = api.post(at, status=201).data["url"].partition("/c/")[2]
    path = f"/c/{path}"
    assert api.delete(at).data["made_at"] is None
    assert Browser().get(path).status_code == 404
    refused(api.delete(at), 404, "not-found", "commission")
