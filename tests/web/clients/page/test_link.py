"""The link to the client's page: kept as a hash, revoked, guarded against trying."""

import logging

import pytest
from django.core.cache import cache
from django.test import Client as Browser

from jobs.models import ClientLink, Event, Person, Piece
from jobs.web.clients import portal
from shop.logs import WithoutTokens
from tests.web.clients.page.visits import a_link, seen
from tests.web.pages import Pages

WRONG = "not-a-token"


def test_a_link_is_hashed_made_anew_and_revoked_and_stands_in_no_event(
    visitor: Browser, pages: Pages, piece: Piece
):
    at = f"/commissions/{piece.commission.number}/client/"
    links = []
    for _ in range(2):
        page = pages.send(at, to="/client/link/", status=200)
        links.append(page.text.split('id="fresh" readonly value="')[1].split('"')[0].split("/c/")[1])
    first, second = (f"/c/{token}" for token in links)
    seen(visitor, first, 404)
    seen(visitor, second)
    assert links[1] not in pages.get(at).text
    stored = str([list(m.objects.values()) for m in (ClientLink, Event)])
    assert not [token for token in links if token.strip("/") in stored]
    pages.send(at, to="/revoke/")
    assert "There is nothing here" in seen(visitor, second, 404).words


def test_trying_links_is_stopped_and_so_is_opening_one_without_end(
    visitor: Browser, piece: Piece, owner: Person, monkeypatch: pytest.MonkeyPatch
):
    link = a_link(piece, owner)
    for n in range(portal.MOST_WRONG):
        seen(visitor, f"/c/{WRONG}{n}/", 404)
    answer = visitor.get(f"/c/{WRONG}/")
    assert answer.status_code == 429 and answer.headers["Retry-After"]
    assert visitor.get(link).status_code == 200, "who has a link is not shut out by others who try"
    cache.clear()
    monkeypatch.setattr(portal, "MOST_OF_LINK", 3)
    assert [visitor.get(link, REMOTE_ADDR=f"10.0.0.{n}").status_code for n in range(4)] == [
        200,
        200,
        200,
        429,
    ]


def test_no_link_stands_in_the_log_file(visitor: Browser, piece: Piece, owner: Person):
    link = a_link(piece, owner)
    record = logging.LogRecord(
        "django.request", 30, "", 1, "Not Found: %s", (f"{link}pictures/1/whole.jpg",), None
    )
    assert WithoutTokens().filter(record)
    assert link not in record.getMessage() and "/c/.../pictures" in record.getMessage()
