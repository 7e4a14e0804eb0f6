"""People, their own settings and tokens over the API."""

from jobs.domain.workshop.passwords import MOST_CHECKS
from tests.api.client import refused
from tests.shop_fixtures import PASSWORD

NEW = {"username": "tam", "password": "long-enough-words", "name": "Tam Okafor", "unit": "mm"}


def test_somebody_is_added_shown_and_changed(api):
    made = api.post("people/", NEW)
    assert made.status_code == 201
    assert "password" not in made.data
    assert (made.data["role"], made.data["unit"]) == ("maker", "mm")
    address = made.headers["Location"]
    assert api.patch(address, {"role": "owner"}).data["role"] == "owner"
    assert api.get(address).data["name"] == "Tam Okafor"
    assert [p["username"] for p in api.get("people/").data] == ["owner", "tam"]


def test_people_that_cannot_be_added(api):
    refused(api.post("people/", {**NEW, "username": "owner"}), 422, "invalid", "username")
    refused(api.post("people/", {**NEW, "role": "king"}), 422, "invalid", "role")
    refused(api.post("people/", {**NEW, "email": "not one"}), 422, "invalid", "email")
    refused(api.get("people/person-0/"), 404, "not-found", "person")


def test_a_refused_password_is_not_repeated(api):
    for password in ("Kiln7", "x" * 201):
        answer = api.post("people/", {**NEW, "password": password})
        error = refused(answer, 422, "invalid", "password")
        assert error["value"] == "(not shown)"
        assert password not in answer.content.decode()


def test_the_shop_keeps_an_owner(api, owner):
    refused(api.patch(f"people/{owner.id}/", {"role": "maker"}), 422, "invalid", "role")
    refused(api.patch(f"people/{owner.id}/", {"is_active": False}), 422, "invalid", "role")


def test_ones_own_settings(maker_api, maker):
    changed = maker_api.patch("me/", {"unit": "mm", "temperature_unit": "C", "reminders_by_mail": False})
    assert changed.status_code == 200
    shown = maker_api.get("me/").data
    assert (shown["id"], shown["unit"], shown["temperature_unit"]) == (maker.id, "mm", "C")
    refused(maker_api.patch("me/", {"role": "owner"}), 422, "invalid", "role")
    refused(maker_api.patch("me/", {"unit": "cubit"}), 422, "invalid", "unit")


def test_a_new_password_needs_the_present_one(maker_api, maker):
    fresh = {"password": "another-long-one"}
    refused(maker_api.patch("me/", fresh), 422, "invalid", "current_password")
    refused(
        maker_api.patch("me/", {**fresh, "current_password": "guess"}), 422, "invalid", "current_password"
    )
    assert maker_api.patch("me/", {**fresh, "current_password": PASSWORD}).status_code == 200
    maker.refresh_from_db()
    assert maker.check_password("another-long-one")


def test_a_tokens_text_is_shown_once(api):
    made = api.post("tokens/", {"label": "bench tablet"})
    assert made.status_code == 201
    listed = api.get("tokens/")
    assert [t["label"] for t in listed.data] == ["bench tablet", "tests"]
    assert made.data["text"] not in listed.content.decode()
    refused(api.post("tokens/", {"label": " "}), 422, "invalid", "label")


def test_a_new_password_ends_the_tokens_that_the_old_one_made(maker_api, maker):
    asked = {"password": "another-long-one", "current_password": PASSWORD}
    assert maker_api.patch("me/", asked).status_code == 200
    refused(maker_api.get("me/"), 401, "unauthenticated")


def test_trying_passwords_is_stopped(maker_api):
    asked = {"password": "another-long-one", "current_password": "guess"}
    for _ in range(MOST_CHECKS):
        refused(maker_api.patch("me/", asked), 422, "invalid", "current_password")
    answer = maker_api.patch("me/", {**asked, "current_password": PASSWORD})
    refused(answer, 429, "too-many")
    assert int(answer.headers["Retry-After"]) > 0
