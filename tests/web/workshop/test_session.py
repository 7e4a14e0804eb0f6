"""Signing in and out, and how often one may try."""

from ipaddress import ip_network

import pytest

from jobs.models import Person
from jobs.web.workshop.sign_in import MOST_FAILURES, MOST_OF_ADDRESS
from tests.shop_fixtures import PASSWORD
from tests.web.pages import Pages

GOOD = {"username": "owner", "password": PASSWORD}


def sign_in(typed: dict[str, str], status: int = 302, at: str = "/sign-in/") -> Pages:
    pages = Pages()
    pages.last = pages.send(at, typed, status=status)
    return pages


def test_signing_in_leads_to_the_bench(owner: Person):
    Pages(owner).send("/first-run/", {"name": "Alder Lane Tops"})
    pages = sign_in(GOOD)
    assert pages.last.answer.url == "/"
    assert "The bench" in pages.get("/").words


def test_signing_in_leads_back_to_the_page_asked_for(owner: Person):
    assert sign_in(GOOD, at="/sign-in/?next=/clients/").last.answer.url == "/clients/"


@pytest.mark.parametrize(
    "target", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "bench"]
)
def test_signing_in_leads_nowhere_else(owner: Person, target: str):
    Pages(owner).send("/first-run/", {"name": "Alder Lane Tops"})
    assert sign_in(GOOD, at=f"/sign-in/?next={target}").last.answer.url == "/"


@pytest.mark.parametrize(
    "typed", [{"password": "wrong"}, {"username": "nobody"}, {"username": ""}, {"password": ""}]
)
def test_wrong_names_and_passwords_stay_out(owner: Person, typed: dict[str, str]):
    pages = sign_in({**GOOD, **typed}, status=422)
    assert pages.last.form().typed["password"] == "", "a password is never sent back"
    pages.get("/", 302)


def test_somebody_who_may_not_sign_in_stays_out(owner: Person):
    Person.objects.filter(id=owner.id).update(is_active=False)
    sign_in(GOOD, status=422)


def test_after_ten_failures_even_the_right_password_waits(owner: Person):
    for _ in range(MOST_FAILURES):
        sign_in({**GOOD, "password": "wrong"}, status=422)
    assert "Wait 15 minutes" in sign_in(GOOD, status=429).last.words


def test_failures_are_counted_by_name_whatever_its_case(owner: Person, maker: Person):
    for name in ["owner", "OWNER", " Owner "] * 4:
        _try(name)
    sign_in(GOOD, status=429)
    sign_in({"username": "maker", "password": PASSWORD})


def _try(name: str) -> None:
    Pages().http.post("/sign-in/", {"username": name, "password": "wrong"})


def test_a_success_takes_the_count_back(owner: Person):
    for _ in range(3):
        for _ in range(MOST_FAILURES - 1):
            _try("owner")
        sign_in(GOOD)


def test_who_fails_again_and_again_does_not_lock_out_a_device_that_signed_in_before(owner: Person):
    known = sign_in(GOOD)
    known.post("/sign-out/", {})
    for _ in range(MOST_FAILURES + 1):
        _try("owner")
    refused = sign_in(GOOD, status=429).last.answer
    assert refused["Retry-After"] == "900"
    known.send("/sign-in/", GOOD)
    assert "The bench" in known.get("/").words


def test_a_known_device_has_a_limit_too_and_is_of_one_person(owner: Person, maker: Person):
    known = sign_in(GOOD)
    known.post("/sign-out/", {})
    for _ in range(MOST_FAILURES):
        known.http.post("/sign-in/", {**GOOD, "password": "wrong"})
    known.send("/sign-in/", GOOD, status=429)
    for _ in range(MOST_FAILURES):
        _try("maker")
    known.send("/sign-in/", {"username": "maker", "password": PASSWORD}, status=429)


@pytest.mark.parametrize("cookie", ["", "made up", "WyJhIiwiYiJd:1wXyZ:abc"])
def test_a_made_up_device_is_a_stranger(owner: Person, cookie: str):
    stranger = Pages()
    stranger.http.cookies["device"] = cookie
    for _ in range(MOST_FAILURES):
        stranger.http.post("/sign-in/", {**GOOD, "password": "wrong"})
    stranger.send("/sign-in/", GOOD, status=429)


def test_one_address_cannot_try_many_names(owner: Person):
    for n in range(MOST_OF_ADDRESS):
        _try(f"somebody {n}")
    sign_in(GOOD, status=429)


def test_an_address_is_another_only_where_a_trusted_proxy_says_so(owner: Person, settings):
    def from_address(forwarded: str, password: str = "wrong") -> int:
        typed, headers = {**GOOD, "password": password}, {"X-Forwarded-For": forwarded}
        return int(Pages().http.post("/sign-in/", typed, headers=headers).status_code)

    for n in range(MOST_FAILURES):
        from_address(f"198.51.100.{n}")
    assert from_address("203.0.113.9", PASSWORD) == 429, "made-up addresses do not help"
    settings.TRUSTED_PROXIES = [ip_network("127.0.0.0/8")]
    for _ in range(MOST_FAILURES + 1):
        last = from_address("203.0.113.9, 198.51.100.7")
    assert last == 429 == from_address("203.0.113.10, 198.51.100.7", PASSWORD)
    assert from_address("198.51.100.7, 203.0.113.9", PASSWORD) == 302, "another client gets in"


def test_signing_out(pages: Pages):
    assert pages.post("/sign-out/", {}).answer.url == "/sign-in/"
    pages.get("/", 302)


def test_signing_out_needs_a_form(pages: Pages):
    pages.get("/sign-out/", 405)
    pages.get("/")
