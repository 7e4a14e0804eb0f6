"""Search: one field finds whatever somebody remembers, and shows nobody what is not theirs."""

from datetime import date
from decimal import Decimal

import pytest

from jobs.domain.billing.prices import Line
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.domain.search.search import search
from jobs.models import Commission
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.stories import a_long_story
from tests.web.pages import Pages

TODAY = date(2026, 3, 2)


def kinds(pages: Pages, question: str) -> dict[str, str]:
    """Return the words of each kind of hit, by its heading."""
    text = pages.get(f"/search/?q={question}").text
    parts = text.partition('id="found"')[2].split("<section aria-labelledby=")[1:]
    return {part.split('"')[1].removeprefix("h-"): part for part in parts}


@pytest.fixture
def island(work: Work) -> Commission:
    client = a_client(work.call(), name="Margarethe Öhlmann", phone="+49 30 1234", city="Lübeck")
    found = a_commission(work.call(), client, "Kitchen island in ash")
    a_piece(work.call(), found, label="Island top")
    return found


def test_the_field_alone_says_what_can_be_asked(pages: Pages):
    words = pages.get("/search/").words
    assert "Two letters are enough" in words


@pytest.mark.parametrize(
    ("question", "kind"),
    [
        ("island", "commission"), ("ISLA", "commission"), ("ash kitchen", "commission"),
        ("2026-001", "commission"), ("001", "piece"), ("marga", "client"), ("öhl", "client"),
        ("ÖHLMANN", "client"), ("1234", "client"), ("lübeck", "client"), ("LÜBECK marg", "client"),
        ("island top", "piece"), ("Öhlmann island", "commission"),
    ],
)  # fmt: skip
def test_any_part_of_a_name_or_number_finds_it_whatever_its_case(
    pages: Pages, island: Commission, question: str, kind: str
):
    found = kinds(pages, question)
    page = f"/clients/{island.client_id}/" if kind == "client" else f"/commissions/{island.number}/"
    assert f'href="{page}' in found[kind]


def test_every_word_has_to_stand_somewhere(pages: Pages, island: Commission):
    assert "Nothing is called" in pages.get("/search/?q=island+walnut").words


def test_a_quote_is_found_by_its_owner_alone(
    pages: Pages, maker_pages: Pages, island: Commission, work: Work
):
    line = Line(description="Island top", unit_price=Decimal("1900.00"), tax_pct=Decimal(0))
    draft_quote(work.call(), commission=island.number, lines=[line], valid_days=30)
    issue_offer(work.call(), offer=f"{island.number}-Q1")
    mine, theirs = (kinds(each, f"{island.number}-Q") for each in (pages, maker_pages))
    assert f'href="/offers/{island.number}-Q1/"' in mine["offer"]
    assert "offer" not in theirs and "paper" not in theirs


@pytest.mark.django_db
def test_a_maker_finds_no_paper_about_money_and_no_note_of_the_owner():
    a_long_story()
    mine = {g["kind"]: g["hits"] for g in search("20", with_money=True, today=TODAY)}
    theirs = {g["kind"]: g["hits"] for g in search("20", with_money=False, today=TODAY)}
    assert {"paper", "offer"} <= set(mine)
    assert "offer" not in theirs
    assert not any(h["about"].startswith(("invoice", "receipt", "quote")) for h in theirs.get("paper", []))


@pytest.mark.django_db
def test_the_whole_story_is_found_by_its_words():
    a_long_story()
    asked = ("oak", "glue", "2026", "ash", "walnut", "lot", "the")
    found = {group["kind"] for word in asked for group in search(word, with_money=True, today=TODAY)}
    assert {"commission", "piece", "paper", "board", "note"} <= found


@pytest.mark.parametrize(
    ("question", "says"), [("a" * 81, "up to 80 characters"), ("a b c d e f g", "6 words")]
)
def test_a_question_that_is_too_long_is_refused_and_stays(pages: Pages, question: str, says: str):
    page = pages.get(f"/search/?q={question}", status=422)
    assert says in page.words and question in page.text


@pytest.mark.parametrize("question", ["%", "_%", "x\x00y", "'; --", "\\%", "ß" * 3])
def test_odd_letters_find_nothing_and_break_nothing(pages: Pages, island: Commission, question: str):
    page = pages.http.get("/search/", {"q": question})
    assert page.status_code in (200, 422) and b"Kitchen island" not in page.content


def test_at_most_eight_of_a_kind_are_shown_and_more_is_said(pages: Pages, work: Work):
    client = a_client(work.call())
    for n in range(10):
        a_commission(work.call(), client, f"Bench {n}")
    found = kinds(pages, "bench")["commission"]
    assert found.count("<li>") == 8 and "the first of many" in found


def test_what_begins_with_the_word_comes_before_what_holds_it(pages: Pages, work: Work):
    client = a_client(work.call())
    a_commission(work.call(), client, "Ash table")
    a_commission(work.call(), client, "Washstand")
    found = kinds(pages, "ash")["commission"]
    assert found.index("Ash table") < found.index("Washstand")
