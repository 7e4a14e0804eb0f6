"""The page of hours."""

import pytest

from jobs.models import Piece
from jobs.web.words import hour_words
from tests.shop_fixtures import Work, good
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
    assert "/hours/" in maker_pages.get("/more/").text
    assert "Nothing was finished" in pages.get("/hours/?until=2020-01-01").words
    page = pages.get("/hours/?since=2026-02-02&until=2026-02-01", 422)
    assert "2026-02-02 or later" in page.errors["until"]


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
