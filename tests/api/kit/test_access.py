"""Who may use the API, and how far; ``test_roles`` covers every address for everybody."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from jobs.domain.workshop.accounts import change_person, token_hash
from jobs.models import Token
from tests.api.client import BASE, Api, head, refused
from tests.shop_fixtures import PASSWORD, a_maker


def test_an_outsider_is_told_how_to_come_in(nobody):
    answer = nobody.get("me/")
    refused(answer, 401, "unauthenticated")
    assert answer.headers["WWW-Authenticate"] == 'Bearer realm="shop"'


def test_a_maker_is_told_what_is_the_owners(maker_api):
    refused(maker_api.post("commissions/2026-001/move/"), 403, "forbidden")
    assert head() == 0


SHARED = "me/ tokens/ sheets/ species/ routes/ clients/ commissions/ waits/ reminders/ papers/ bench/"


@pytest.mark.parametrize("address", SHARED.split())
def test_a_maker_sees_the_shop(maker_api, address):
    assert maker_api.get(address).status_code == 200


@pytest.mark.parametrize("header", ["Bearer nonsense", "Bearer ", "Bearer é", "Bearer a b"])
def test_a_token_that_is_not_known(nobody, header):
    refused(nobody.get("me/", Authorization=header), 401, "unauthenticated")


def test_another_scheme_is_no_token(nobody):
    refused(nobody.get("me/", Authorization="Basic b3duZXI6c2VjcmV0"), 401, "unauthenticated")


def test_a_revoked_token_opens_nothing(api):
    made = api.post("tokens/", {"label": "old phone"}).data
    phone = Api()
    phone.headers["Authorization"] = f"Bearer {made['text']}"
    assert phone.get("me/").status_code == 200
    assert api.delete(f"tokens/{made['token']['id']}/").data["revoked_at"]
    refused(phone.get("me/"), 401, "unauthenticated")
    refused(api.delete(f"tokens/{made['token']['id']}/"), 404, "not-found", "token")


def test_somebody_who_left_is_an_outsider(maker, maker_api):
    assert maker_api.get("me/").status_code == 200
    change_person(maker, is_active=False)
    refused(maker_api.get("me/"), 401, "unauthenticated")


def test_tokens_are_stored_as_their_hash(api):
    stored = Token.objects.get(id=api.token.id)
    assert stored.sha256 == token_hash(api.text)
    assert api.text not in str(vars(stored))


def test_the_last_use_is_noted_once_a_minute(api):
    def used() -> object:
        return Token.objects.get(id=api.token.id).last_used_at

    api.get("me/")
    first = used()
    assert first is not None
    api.get("me/")
    assert used() == first
    earlier = timezone.now() - timedelta(minutes=2)
    Token.objects.filter(id=api.token.id).update(last_used_at=earlier)
    api.get("me/")
    assert used() > earlier


def test_the_session_of_the_pages_works_and_needs_its_token_to_change(owner):
    browser = Client(enforce_csrf_checks=True)
    assert browser.login(username="owner", password=PASSWORD)
    assert browser.get(f"{BASE}me/").status_code == 200
    body = {"name": "Orla Fenwick"}
    answer = browser.post(f"{BASE}clients/", body, content_type="application/json")
    assert (answer.status_code, answer.json()["code"]) == (403, "forbidden")
    browser.cookies["csrftoken"] = "a" * 32
    allowed = browser.post(
        f"{BASE}clients/", body, content_type="application/json", headers={"X-CSRFToken": "a" * 32}
    )
    assert allowed.status_code == 201


def test_answers_are_not_kept_by_caches(api):
    assert api.get("clients/").headers["Cache-Control"] == "no-store"


def test_another_makers_tokens_are_not_shown(maker_api, owner, api, maker):
    other = a_maker("second")
    refused(maker_api.get(f"tokens/?person={other.id}"), 403, "forbidden", "person")
    refused(maker_api.post("tokens/", {"label": "x", "person": other.id}), 403, "forbidden", "person")
    refused(maker_api.delete(f"tokens/{api.token.id}/"), 403, "forbidden", "token")
    assert [t["label"] for t in api.get(f"tokens/?person={maker.id}").data] == ["tests"]
    made = api.post("tokens/", {"label": "bench tablet", "person": other.id})
    assert made.data["token"]["person"] == other.id
