"""People, own settings, passwords and tokens."""

import pytest
from django.utils import timezone

from jobs.domain.workshop.accounts import find_token, make_token
from jobs.domain.workshop.passwords import MOST_CHECKS
from jobs.models import Person, Token
from jobs.models.people import Scope
from tests.shop_fixtures import PASSWORD
from tests.web.pages import Pages

NEW = {"username": "cora", "password": "nine-ash-boards", "name": "Cora Ost"}
FRESH = "twelve-elm-boards"


def test_own_settings(pages: Pages, owner: Person):
    pages.send("/me/", {"unit": "mm", "temperature_unit": "C", "name": "Ada L.", "reminders_by_mail": ""})
    owner.refresh_from_db()
    assert (owner.unit, owner.temperature_unit, owner.name) == ("mm", "C", "Ada L.")


def test_a_maker_changes_no_role(maker_pages: Pages, maker: Person):
    typed = {"name": "Ben", "unit": "in", "temperature_unit": "F", "role": "owner"}
    page = maker_pages.post("/me/", typed, 422)
    assert "This form has no field named role." in page.words
    maker.refresh_from_db()
    assert (maker.role, maker.name) == ("maker", "Ben Aldersey")


@pytest.mark.parametrize(
    "wrong, field",
    [({"email": "ada at home"}, "email"), ({"name": "x" * 121}, "name"), ({"unit": "yd"}, "unit")],
)
def test_wrong_settings_are_refused_and_nothing_is_saved(
    pages: Pages, owner: Person, wrong: dict[str, str], field: str
):
    typed = {**pages.get("/me/").form().typed, **wrong}
    assert pages.post("/me/", typed, 422).errors[field]
    owner.refresh_from_db()
    assert (owner.email, owner.unit) == ("ada@lindenau.example", "in")


def test_changing_the_password(pages: Pages, owner: Person):
    other = Pages(owner)
    pages.send("/me/", {"current": PASSWORD, "password": FRESH}, to="/password/#password")
    pages.get("/me/")
    other.get("/me/", 302)
    owner.refresh_from_db()
    assert owner.check_password(FRESH)


@pytest.mark.parametrize(
    "typed, field",
    [
        ({"current": "guess", "password": FRESH}, "current"),
        ({"current": PASSWORD, "password": "12345"}, "password"),
        ({"current": PASSWORD, "password": ""}, "password"),
    ],
)
def test_a_wrong_or_weak_password_changes_nothing(
    pages: Pages, owner: Person, typed: dict[str, str], field: str
):
    page = pages.send("/me/", typed, to="/password/#password", status=422)
    assert page.errors[field]
    owner.refresh_from_db()
    assert owner.check_password(PASSWORD)


def test_a_token_is_shown_once(pages: Pages, owner: Person):
    page = pages.send("/me/", {"label": "order script"}, to="/me/tokens/#tokens", status=200)
    text = page.text.split('class="secret">')[1].split("<")[0]
    assert (
        find_token(text).person_id == owner.id
        and page.answer["Cache-Control"] == "no-store, private, no-cache"
    )
    again = pages.get("/me/")
    assert "order script" in again.words and text not in again.text


def test_a_token_needs_a_label(pages: Pages):
    page = pages.send("/me/", to="/me/tokens/#tokens", status=422)
    assert page.errors["label"] and not Token.objects.exists()


def test_revoking(pages: Pages, maker_pages: Pages, maker: Person):
    maker_pages.send("/me/", {"label": "phone"}, to="/me/tokens/#tokens", status=200)
    token = Token.objects.get()
    page = pages.send(f"/people/{maker.id}/", to=f"/tokens/{token.id}/revoke/")
    assert page.answer.url == f"/people/{maker.id}/"
    token.refresh_from_db()
    assert token.revoked_at
    pages.post(f"/tokens/{token.id}/revoke/", {}, 404)


def test_nobody_revokes_anothers_token(pages: Pages, maker_pages: Pages):
    pages.send("/me/", {"label": "mine"}, to="/me/tokens/#tokens", status=200)
    maker_pages.post(f"/tokens/{Token.objects.get().id}/revoke/", {}, 403)
    assert Token.objects.get().revoked_at is None


def test_adding_somebody_who_then_signs_in(pages: Pages):
    pages.send("/people/new/", NEW)
    assert "Cora Ost" in pages.get("/people/").words
    Pages().send("/sign-in/", {"username": "cora", "password": NEW["password"]})
    assert Person.objects.get(username="cora").role == "maker"


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({"username": "owner"}, "username"),
        ({"username": " "}, "username"),
        ({"password": "1234"}, "password"),
        ({"email": "cora"}, "email"),
    ],
)
def test_somebody_who_cannot_be_added(pages: Pages, wrong: dict[str, str], field: str):
    page = pages.send("/people/new/", {**NEW, **wrong}, status=422)
    assert page.errors[field] and page.form().typed["name"] == "Cora Ost"
    assert Person.objects.count() == 1


def test_taking_the_right_to_sign_in_away(pages: Pages, maker_pages: Pages, maker: Person):
    form = pages.get(f"/people/{maker.id}/").form()
    del form.typed["is_active"]
    pages.send_form(f"/people/{maker.id}/", form)
    maker_pages.get("/", 302)


def test_the_shop_keeps_an_owner(pages: Pages, owner: Person):
    page = pages.send(f"/people/{owner.id}/", {"role": "maker"}, status=422)
    assert "needs an owner" in page.errors["role"]
    owner.refresh_from_db()
    assert owner.role == "owner"


def test_a_new_password_ends_tokens_and_calendar_links(pages: Pages, owner: Person, maker: Person):
    texts = {
        (person, scope): make_token(person, label="x", now=timezone.now(), scope=scope)[1]
        for person in (owner, maker)
        for scope in Scope.values
    }
    phone = Pages()
    phone.get(f"/calendar/{texts[owner, Scope.CALENDAR]}.ics")
    pages.send("/me/", {"current": PASSWORD, "password": FRESH}, to="/password/#password")
    assert "tokens and calendar links have ended" in pages.get("/me/").words
    assert [find_token(texts[owner, scope]) for scope in Scope.values] == [None] * len(Scope.values)
    phone.get(f"/calendar/{texts[owner, Scope.CALENDAR]}.ics", 404)
    assert all(find_token(texts[maker, scope]) for scope in Scope.values), "another person's stay"
    pages.send(f"/people/{maker.id}/", {"name": "Ben"})
    assert all(find_token(texts[maker, scope]) for scope in Scope.values), "another change ends none"
    pages.send(f"/people/{maker.id}/", {"password": FRESH})
    assert [find_token(texts[maker, scope]) for scope in Scope.values] == [None] * len(Scope.values)


def test_trying_passwords_is_stopped_after_signing_in_too(pages: Pages, owner: Person):
    typed = {"current": "wrong", "password": FRESH}
    for _ in range(MOST_CHECKS):
        pages.send("/me/", typed, to="/password/#password", status=422)
    answer = pages.send("/me/", {**typed, "current": PASSWORD}, to="/password/#password", status=429).answer
    assert answer["Retry-After"]
    owner.refresh_from_db()
    assert owner.check_password(PASSWORD)
