"""The wall: a screen in the shop by its own token."""

import re
from typing import Any

import pytest
from django.utils import timezone

from jobs.domain.workshop.accounts import make_token, revoke_token
from jobs.models import Person, Piece, Token
from jobs.models.people import Scope
from jobs.web.workshop.wall import MOST_ASKED
from tests.api.client import Api
from tests.shop_fixtures import Work
from tests.web.conftest import in_clamps
from tests.web.pages import Pages


@pytest.fixture
def at_work(work: Work, piece: Piece) -> Piece:
    in_clamps(work, piece, minutes=30)
    return piece


def link_of(pages: Pages, **typed: str) -> str:
    page = pages.send("/walls/", {"label": "tablet", **typed}, status=200)
    return re.search(r"(/wall/[\w-]+/)", page.text)[1]  # type: ignore[index]


def test_a_link_opens_the_wall_without_signing_in_and_without_money_or_a_client(pages: Pages, at_work: Piece):
    words = Pages().get(link_of(pages)).words
    assert "Glue" in words and at_work.number.split("-")[1] in words
    assert "Fenwick" not in words and not re.search(r"\$|USD|\d\.\d\d", words)


def test_clients_are_named_where_it_is_wished(pages: Pages, at_work: Piece, work: Work):
    named = link_of(pages, names="on")
    assert Token.objects.get().scope == Scope.WALL_WITH_NAMES
    assert Pages().get(named).status == 200


def test_a_wall_taken_away_says_so_and_shows_nothing(pages: Pages, owner: Person, at_work: Piece):
    link = link_of(pages)
    revoke_token(owner, token=Token.objects.get().id, now=timezone.now())
    words = Pages().get(link, status=404).words
    assert "This wall is taken down" in words and "Glue" not in words


@pytest.mark.parametrize("scope", [Scope.PERSON, Scope.READINGS, Scope.CALENDAR])
def test_no_other_token_opens_a_wall(owner: Person, scope: Scope):
    text = make_token(owner, label="other", now=timezone.now(), scope=scope)[1]
    Pages().get(f"/wall/{text}/", status=404)


def test_a_walls_token_opens_nothing_of_the_api(owner: Person):
    text = make_token(owner, label="tablet", now=timezone.now(), scope=Scope.WALL)[1]
    api = Api()
    api.headers["Authorization"] = f"Bearer {text}"
    api.get("bench/", status=401)


def test_an_address_that_asks_too_often_waits(owner: Person, db: None):
    text = make_token(owner, label="tablet", now=timezone.now(), scope=Scope.WALL)[1]
    pages = Pages()
    for _ in range(MOST_ASKED):
        pages.http.get("/wall/no-such-token/")
    answer = pages.http.get(f"/wall/{text}/")
    assert answer.status_code == 429 and int(answer.headers["Retry-After"]) > 0


def test_only_the_owner_makes_walls(maker: Person, db: None):
    Pages(maker).get("/walls/", status=403)


def test_a_wall_reads_as_little_as_the_bench(
    pages: Pages, at_work: Piece, django_assert_max_num_queries: Any
):
    link = link_of(pages)
    with django_assert_max_num_queries(24):
        Pages().get(link)
