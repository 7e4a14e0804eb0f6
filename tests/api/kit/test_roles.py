"""Every address × everybody: nobody, a sensor, a maker, the owner.

Built from the tables of addresses of pages and API.
An address without a declared rule fails. The owner's addresses are listed here once. Every other address is
open to whoever works here, and only the few of ``FOR_ANYONE`` to those who have not signed in.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import URLPattern, reverse
from django.urls.converters import StringConverter

from jobs.api import urls as api_urls
from jobs.api.kit.permissions import Anyone, Owner, OwnerChanges, SensorHandsIn, Worker
from jobs.domain.workshop.accounts import make_token
from jobs.models import Person
from jobs.models.people import Scope
from jobs.web import urls as web_urls
from tests.api.client import head
from tests.shop_fixtures import NOON

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
FOR_ANYONE = {
    "api:problem", "api:schema", "api:docs", "api:health", "api:health-slash", "web:sign-in",
    "web:calendar-feed", "web:client-page", "web:client-ask", "web:client-image", "web:client-pdf",
    "web:client-accept", "web:client-decline", "web:client-opened", "web:client-wood",
    "web:client-approve", "web:wall",
    "web:no-signal", "web:service-worker",
}  # fmt: skip
WATCHED = {"api:health", "api:health-slash"}
"""Addresses that answer 503 while no worker runs, as in these tests."""
NO_ADDRESS = {"api:unknown"}
"""The view that answers for every unknown address."""
OWNERS_API = {
    "GET people", "POST people", "GET person", "PATCH person", "GET shop", "PATCH shop", "POST sheets",
    "GET shop-logo", "POST shop-logo", "DELETE shop-logo",
    "GET templates", "POST templates", "GET template", "POST move", "PUT price", "POST payments",
    "POST invoice", "POST credit", "POST repayments", "POST receipt", "POST statement", "GET receivables",
    "GET bookkeeping", "GET tax", "GET profit",
    "POST calc-costing", "GET events", "GET log", "GET undelivered",
    "GET quotes", "POST quotes", "GET change-orders", "POST change-orders", "POST deposit", "GET quote",
    "GET quotes-tally", "POST quote-send", "POST quote-follow-up", "POST quote-let-go", "POST change-send",
    "POST change-follow-up", "POST change-let-go", "POST commission-take-up",
    "POST quote-issue", "POST quote-revise", "POST quote-accept", "POST quote-decline", "GET change-order",
    "POST change-issue", "POST quote-signed-copy", "GET quote-confirmation", "POST change-signed-copy",
    "GET change-confirmation", "POST change-revise", "POST change-accept", "POST change-decline",
    "POST resend",
    "GET costs", "POST costs", "POST void-cost", "POST correct-cost", "GET cost-receipt",
    "POST supply-price", "POST boards-price",
    "GET invoice-data", "GET own-rates", "GET commission-hours", "DELETE quote", "DELETE change-order",
    "GET client-everything", "GET forget-client", "POST forget-client",
    "POST accept-order", "POST take-back", "POST void-payment",
    "POST remind", "POST reopen", "POST correct-payment",
    "PUT working-hours", "POST blackouts", "DELETE blackout", "PUT firmness",
    "DELETE one-client-link", "GET client-link", "POST client-link", "DELETE client-link",
}  # fmt: skip
OWNERS_PAGES = {
    "people", "add-person", "person", "shop", "logo", "remove-logo", "logo-file",
    "paper-sample", "sheets", "sheet", "new-sheet", "new-wood", "templates",
    "template",
    "template-version", "log", "verify-log", "clock-right", "move", "price", "payment", "invoice", "credit",
    "accept-order", "take-back", "void-payment",
    "invoice-data", "invoice-file", "repay", "receipt", "statement", "receivables", "books", "books-file",
    "profit", "board-bill", "lost-mail",
    "new-quote", "new-change", "deposit", "offer", "write-offer", "offer-draft",
    "issue-offer", "accept-offer", "signed-copy", "offer-confirmation",
    "send-offer", "follow-up", "let-go", "take-up", "quotes",
    "decline-offer", "client-everything", "forget-client",
    "commission-costs", "add-cost", "correct-cost", "void-cost", "cost-receipt",
    "own-rates", "commission-hours", "drop-offer", "resend", "engine-room", "new-link",
    "end-link", "end-links",
    "commission-money", "reopen-commission", "correct-payment", "remind", "first-run",
    "first-run-bench", "open-demo", "demo-loading", "leave-demo", "demo-leaving", "first-run-done",
    "shop-section", "shop-terms", "walls", "make-promise", "promise-proposal",
    "hours-of", "add-holiday", "add-client-days", "free-share", "firmness", "add-blackout", "remove-blackout",
}  # fmt: skip
KINDS = {"kind": "glue", "to": "cancelled", "period": "2026"}


@dataclass(frozen=True)
class Door:
    """One address with one method."""

    name: str
    method: str
    path: str
    callback: object

    @property
    def short(self) -> str:
        return f"{self.method} {self.name.partition(':')[2]}"


def doors() -> Iterator[Door]:
    for space, table in (("api", api_urls), ("web", web_urls)):
        for pattern in table.urlpatterns:
            assert isinstance(pattern, URLPattern), f"{pattern}: a table in a table is not read here"
            name = f"{space}:{pattern.name}"
            if name in NO_ADDRESS:
                continue
            given = {n: KINDS.get(n) or _filled(c) for n, c in pattern.pattern.converters.items()}
            view = getattr(pattern.callback, "cls", None)
            for method in METHODS if view else METHODS[:2]:
                if view is None or hasattr(view, method.lower()):
                    yield Door(name, method, reverse(name, kwargs=given), pattern.callback)


def _filled(converter: object) -> str:
    return "x" if isinstance(converter, StringConverter) else "1"


def rule(door: Door) -> object:
    """Return the rule an address declares for itself, not one it inherits."""
    view = getattr(door.callback, "cls", None)
    if view is None:
        return getattr(door.callback, "access", None)
    told = door.callback.initkwargs.get("permission_classes") or vars(view).get("permission_classes", ())
    return told[0] if len(told) == 1 else None


def test_every_address_declares_its_rule():
    known = {Anyone, Worker, SensorHandsIn, Owner, OwnerChanges, "anyone", "worker", "owner"}
    assert len(list(doors())) > 150
    assert {d.short for d in doors() if rule(d) not in known} == set()
    assert {d.name for d in doors() if rule(d) in (Anyone, "anyone")} == FOR_ANYONE


def answers(person: Person | None, *, token: str = "") -> dict[Door, int]:
    """Return the status that every address gives this person or token; signing out comes last."""
    cache.clear()
    found = {}
    browser = Client(raise_request_exception=False)
    headers = {"Authorization": f"Bearer {token}"} if token else {}
    if person is not None:
        browser.force_login(person)
    for door in sorted(doors(), key=lambda d: d.name == "web:sign-out"):
        answer = browser.generic(
            door.method, door.path, b"{}", content_type="application/json", headers=headers
        )
        found[door] = answer.status_code
        if answer.status_code == 302 and answer.url.startswith("/sign-in/?next="):
            found[door] = 401
    assert {
        f"{d.short}: {status}" for d, status in found.items() if status >= 500 and d.name not in WATCHED
    } == set()
    return found


def test_nobody_gets_in_who_has_not_signed_in(db: None):
    open_doors = {d.name for d, status in answers(None).items() if status != 401}
    assert open_doors == FOR_ANYONE
    assert head() == 0


def test_a_sensor_hands_in_readings_and_does_nothing_else(owner: Person):
    """The token's owner may do everything; the token still may not."""
    _, text = make_token(owner, label="shelf over the bench", now=NOON, scope=Scope.READINGS)
    open_to_it = {d.short for d, status in answers(None, token=text).items() if status not in (401, 403)}
    open_to_all = {d.short for d in doors() if d.name in FOR_ANYONE}
    assert open_to_it - open_to_all == {"POST readings"}
    assert head() == 0


def test_a_maker_is_kept_from_what_is_the_owners_and_from_nothing_else(maker: Person):
    shut = {d for d, status in answers(maker).items() if status in (401, 403)}
    assert {d.short for d in shut if d.name.startswith("api:")} == OWNERS_API
    pages = {d.short for d in shut if d.name.startswith("web:")}
    assert pages == {f"{method} {name}" for name in OWNERS_PAGES for method in ("GET", "POST")}


def test_everything_is_open_to_the_owner(owner: Person):
    assert {d.short for d, status in answers(owner).items() if status in (401, 403)} == set()


@pytest.mark.parametrize("path", ["/api/v1/no-such/", "/api/no-such/"])
def test_an_address_that_is_none_shows_nothing(db: None, path: str):
    assert Client().get(path).status_code == 404
