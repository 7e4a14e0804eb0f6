"""The page of hours."""

import pytest

from jobs.models import Piece
from jobs.web.kit.formatting import hour_words
from jobs.web.kit.pagination import PER_PAGE
from tests.shop_fixtures import Work, good
from tests.web.grown import copied
from tests.web.pages import Pages


def test_minutes_stand_by_kind_and_by_commission_without_money(
    pages: Pages, maker_pages: Pages, work: Work, piece: Piece
):
    assert "Nothing was finished" in pages.get("/hours/").words
    work.start(piece, "survey")
    work.finish(piece, "survey", measured=good(piece, "survey", "finish"), minutes=95)
    for who in (pages, maker_pages):
        words = who.get("/hours/").words
        assert "Site survey and drawing approved 1 1 h 35 min 1 h 35 min" in words
        assert f"{piece.commission.number} · 1 stage" in words
    assert "/hours/" in maker_pages.get("/office/").text
    assert "Nothing was finished" in pages.get("/hours/?until=2020-01-01").words
    page = pages.get("/hours/?since=2026-02-02&until=2026-02-01", 422)
    assert "2026-02-02 or later" in page.errors["until"]


def test_many_commissions_stand_by_the_page(pages: Pages, work: Work, piece: Piece):
    work.start(piece, "survey")
    work.finish(piece, "survey", measured=good(piece, "survey", "finish"), minutes=10)
    number, client = piece.commission.number, piece.commission.client_id
    copied(number, PER_PAGE)
    for path in ("/hours/?until=2030-01-01", f"/clients/{client}/?"):
        first, second = pages.get(path), pages.get(f"{path}&page=2")
        main = [page.text.partition('id="main"')[2] for page in (first, second)]
        assert [text.count(f'href="/commissions/{number}') for text in main] == [PER_PAGE, 1]
        assert "Page 1 of 2" in first.words and "page=2" in first.text and "Newer" in second.words
    page = pages.get("/hours/?until=2030-01-01&page=2")
    assert "until=2030-01-01" in page.text.partition("Newer")[0].rpartition("<a")[2], "the period goes along"
    assert f"Stages finished {PER_PAGE + 1}" in page.words


@pytest.mark.parametrize(
    "minutes, words",
    [
        (0, "0 min"),
        (45, "45 min"),
        (60, "1 h"),
        (200, "3 h 20 min"),
        (1860, "31 h"),
        (7.5, "7.5 min"),
        (None, ""),
    ],
)
def test_minutes_in_words(minutes: float | None, words: str):
    assert hour_words(minutes) == words
