"""What a client asks on the page, and the news that answer."""

import pytest
from django.core.cache import cache
from django.test import Client as Browser

from jobs.domain.clients.commands import change_client
from jobs.domain.clients.portal_wording import in_few_sentences
from jobs.domain.clients.updates import MOST_IN_A_DAY
from jobs.domain.workshop.commands import set_shop
from jobs.models import ClientQuestion, ClientUpdate, Event, Person, Piece
from jobs.web.clients import portal
from tests.shop_fixtures import Work
from tests.web.clients.page.visits import a_link, a_picture, seen
from tests.web.pages import Page, Pages, head


def test_a_question_reaches_the_shop_once_and_is_answered_with_news(
    visitor: Browser, pages: Pages, work: Work, piece: Piece, owner: Person
):
    link = a_link(piece, owner)
    form = seen(visitor, link).form("/ask/")
    asked = {**form.typed, "words": "May the cat sit on it? <b>Really</b>"}
    for _ in range(2):  # a double click
        assert visitor.post(f"{link}ask/", asked).status_code == 302
    question = ClientQuestion.objects.get()
    event = Event.objects.get(kind="client_asked")
    assert event.actor == f"client:{piece.commission.client_id}" and "cat" not in event.body
    page = seen(visitor, f"{link}?asked")
    assert b"&lt;b&gt;Really" in page.answer.content and "Thank you for your question" in page.words
    assert "the client asked something" in pages.get("/").words
    told = pages.get(f"/commissions/{piece.commission.number}/history/")
    assert "The client asked" in told.words and b"<b>Really" not in told.answer.content
    at = f"/commissions/{piece.commission.number}/tell/"
    assert pages.get(f"{at}?answer={question.id}").form().typed["answers"] == str(question.id)
    assert pages.get(at).form().typed["answers"] == str(question.id), "the only one that is open"
    pages.post(at, {"words": "The cat may.", "answers": str(question.id), "do": "send"})
    question.refresh_from_db()
    assert question.settled_at and question.answer == ClientUpdate.objects.get()
    assert "The cat may." in seen(visitor, link).words and "not answered yet" not in seen(visitor, link).words
    assert "the client asked something" not in pages.get("/").words


@pytest.mark.parametrize("words", ["", "  ", "x" * 2001, "\x00"])
def test_what_is_no_question_is_refused_beside_the_field(
    visitor: Browser, piece: Piece, owner: Person, words: str
):
    link = a_link(piece, owner)
    form, before = seen(visitor, link).form("/ask/"), head()
    page = Page(visitor.post(f"{link}ask/", {**form.typed, "words": words}))
    assert page.status == 422 and 'id="words-wrong"' in page.text and head() == before


def test_a_form_that_was_not_on_the_page_is_refused(visitor: Browser, piece: Piece, owner: Person):
    link = a_link(piece, owner)
    for mark in ({}, {"mark": "made-up"}):
        assert visitor.post(f"{link}ask/", {"words": "Hello", **mark}).status_code == 403
    assert not ClientQuestion.objects.exists()


def test_too_many_questions_are_stopped(visitor: Browser, work: Work, piece: Piece, owner: Person):
    link = a_link(piece, owner)

    def ask(n: int) -> int:
        typed = seen(visitor, link).form("/ask/").typed
        return visitor.post(f"{link}ask/", {**typed, "words": f"Question {n}"}).status_code

    assert [ask(n) for n in range(portal.MOST_ASKED + 1)] == [302] * portal.MOST_ASKED + [429]
    cache.clear()  # later, or from many places
    rest = MOST_IN_A_DAY - portal.MOST_ASKED
    assert [ask(n) for n in range(100, 100 + rest)] == [302] * rest
    cache.clear()
    assert ask(200) == 422
    assert ClientQuestion.objects.count() == MOST_IN_A_DAY


@pytest.mark.parametrize(
    "told, reads",
    [
        ([], []),
        (["We chose the wood."], ["We chose the wood."]),
        (["A is done.", "The b is done."], ["A is done and the b is done."]),
        (["A.", "B.", "C.", "D."], ["A and b.", "C and d."]),
        (["A.", "B.", "C.", "D.", "E."], ["A, b and c.", "D and e."]),
    ],
)
def test_news_read_as_few_sentences(told: list[str], reads: list[str]):
    assert in_few_sentences(told) == reads


def test_news_are_drafted_looked_at_and_sent(pages: Pages, maker_pages: Pages, work: Work, piece: Piece):
    number = piece.commission.number
    at = f"/commissions/{number}/tell/"
    work.do_until(piece, "stock")
    picture = a_picture(work, piece, "stock")
    proposed = pages.get(at).form().typed["words"]
    assert (
        "We measured and agreed the drawing and we chose the wood." in proposed
        and "Next comes rough milling" in proposed
    )
    change_client(work.call(), client=piece.commission.client_id, email="orla@fenwick.example")
    assert "cannot answer the mail" in pages.get(at).words and "owner sets it" in maker_pages.get(at).words
    set_shop(work.call(), email="bench@lindenau.example")
    assert "cannot answer the mail" not in pages.get(at).words
    change_client(work.call(), client=piece.commission.client_id, email="")
    before = head()
    typed = {**pages.get(at).form().typed, "words": "Fine boards <i>indeed</i>", "pictures": str(picture.id)}
    preview = maker_pages.post(at, {**typed, "do": "preview"}, 200)
    assert head() == before and b"&lt;i&gt;indeed" in preview.answer.content
    assert f'value="{picture.id}" checked' in preview.text
    page = maker_pages.post(at, {**typed, "do": "send"})
    assert page.answer.url == f"/commissions/{number}/client/"
    assert ClientUpdate.objects.get().pictures == [picture.id]
    assert "in the diary alone" in pages.get(page.answer.url).words
    assert "chose the wood" not in pages.get(at).form().typed["words"], "it was told"
    refused = pages.post(at, {"words": " ", "do": "send"}, 422)
    assert "words" in refused.errors
