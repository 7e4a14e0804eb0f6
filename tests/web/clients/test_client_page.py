"""The client's page: what it shows and keeps, who gets in, what can be asked; and the shop's side of it."""

import io
import logging
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.utils import timezone
from PIL import Image

from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line
from jobs.domain.clients.commands import change_client
from jobs.domain.clients.portal_links import make_link
from jobs.domain.clients.portal_wording import in_few_sentences
from jobs.domain.clients.updates import MOST_IN_A_DAY, tell_client
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.notes.pictures import remove_picture, take_picture
from jobs.domain.papers.issuing import record_rendering
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import draft_quote, issue_offer, rewrite_offer
from jobs.domain.workshop.commands import set_shop
from jobs.models import (
    ClientLink,
    ClientQuestion,
    ClientUpdate,
    Commission,
    Event,
    Offer,
    Person,
    Picture,
    Piece,
    PrivateText,
)
from jobs.web.clients import portal
from shop.logs import WithoutTokens
from tests.shop_fixtures import (
    ROUTES,
    SHORT,
    Work,
    a_client,
    a_commission,
    a_piece,
    a_price,
    good,
    issue_checklist,
    quick_sheets,
    the_paper,
)
from tests.web.pages import Page, Pages, head

WRONG = "not-a-token"


@pytest.fixture(autouse=True)
def _own_files(tmp_path, settings):
    settings.FILES_DIR, settings.DATA_DIR = tmp_path / "files", tmp_path
    settings.FILES_DIR.mkdir()


@pytest.fixture
def visitor() -> Browser:
    """Return the browser of somebody outside the shop, which refuses a form from another site."""
    return Browser(raise_request_exception=False, enforce_csrf_checks=True)


def a_link(piece: Piece, owner: Person) -> str:
    return f"/c/{make_link(owner, commission=piece.commission.number, now=timezone.now())[1]}/"


def a_picture(work: Work, piece: Piece, stage: str, words: str = "") -> Picture:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), "peru").save(out, "JPEG")
    take_picture(work.call(), piece=piece.number, stage=stage, picture=out.getvalue(), words=words)
    return Picture.objects.last()


def seen(visitor: Browser, path: str, status: int = 200) -> Page:
    page = Page(visitor.get(path))
    assert page.status == status, f"{path}: {page.status} {page.words[:300]}"
    return page


def test_it_tells_in_plain_words_what_is_done_what_runs_and_what_comes(
    visitor: Browser, work: Work, slow_piece: Piece, owner: Person
):
    day = timezone.localdate() + timedelta(days=60)
    change_commission(work.call(), commission=slow_piece.commission.number, promise_on=day)
    work.now = timezone.now() - timedelta(hours=20)
    work.do_until(slow_piece, "stock")
    page = seen(visitor, a_link(slow_piece, owner))
    for said in (
        "Desk by the window", "In the workshop", "The order is confirmed.",
        "We chose the wood.", "The wood is getting used to our air, until", "Rough milling of the boards.",
        "the agreed date", "at 35 to 55 %", "wider in the most humid part of the year",
    ):  # fmt: skip
        assert said in page.words, said
    assert f"{day:%A} {day.day} {day:%B}" in page.words and "Between" in page.words


def test_nothing_of_costs_notes_makers_or_other_clients_stands_on_it(
    visitor: Browser, work: Work, piece: Piece, owner: Person
):
    number = piece.commission.number
    set_shop(work.call(), settings={"price_per_board_foot": "14.59"}, name="Lindenau Table Works")
    other = a_client(work.call(), "Mirek Dvorsky")
    a_commission(work.call(), other, "Counter for the bakery")
    change_commission(work.call(), commission=number, notes="pays late, ring twice")
    a_price(work.call(), piece.commission)
    record_payment(work.call(), commission=number, amount=Decimal("333.33"), what="deposit", note="in a sock")
    work.start(piece, "survey")
    work.finish(piece, "survey", measured=good(piece, "survey", "finish"), remark="she is difficult")
    work.do(piece, "stock")
    kept_back = a_picture(work, piece, "stock", words="the crack we filled")
    page = seen(visitor, a_link(piece, owner))
    for secret in (
        "Mirek", "bakery", "14.59", "pays late", "333", "1100", "1,000", "sock", "difficult", "crack",
        owner.name, owner.id, f"/pictures/{kept_back.id}/", "Orla", "/commissions/", "/pieces/",
    ):  # fmt: skip
        assert secret not in page.text, secret
    assert "Lindenau Table Works" in page.text


def test_only_chosen_pictures_and_papers_of_this_commission_are_given_out(
    visitor: Browser, work: Work, settings: Any, owner: Person
):
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    piece, other = work.accepted(**SHORT), work.accepted(**SHORT)
    number = piece.commission.number
    chosen, not_chosen, others = (a_picture(work, p, "wrap") for p in (piece, piece, other))
    for one, picture in ((piece, chosen), (other, others)):
        tell_client(work.call(), commission=one.commission.number, words="Wrapped", pictures=[picture.id])
        a_price(work.call(), one.commission)
        work.do_until(one, "wrap")
    checklist = the_paper(issue_checklist(work.call(), commission=number))
    bills = [the_paper(issue_invoice(work.call(), commission=p.commission.number)) for p in (piece, other)]
    link = a_link(piece, owner)
    assert bills[0].number not in seen(visitor, link).words, "it has no file yet"
    for paper in (checklist, *bills):
        name = blobs.store(f"%PDF {paper.number}".encode())
        record_rendering(work.call(), paper=paper.number, sha256=name, size_bytes=10)
    page = seen(visitor, link)
    assert bills[0].number in page.text
    assert checklist.number not in page.text and bills[1].number not in page.text
    assert visitor.get(f"{link}papers/{bills[0].number}.pdf").content.startswith(b"%PDF")
    assert visitor.get(f"{link}pictures/{chosen.id}/small.jpg").headers["Content-Type"] == "image/jpeg"
    for shut in (
        f"papers/{checklist.number}.pdf", f"papers/{bills[1].number}.pdf",
        f"pictures/{not_chosen.id}/small.jpg", f"pictures/{others.id}/whole.jpg", "pictures/1/whole.jpg",
    ):  # fmt: skip
        seen(visitor, link + shut, 404)
    (blobs.folder() / lookups.paper(bills[0].number).file_sha256).unlink()
    assert "Please ask the shop" in seen(visitor, f"{link}papers/{bills[0].number}.pdf", 404).words
    assert "cannot be shown now" in seen(visitor, f"{link}papers/{bills[0].number}.pdf", 404).words
    remove_picture(work.call(), picture=chosen.id)
    seen(visitor, f"{link}pictures/{chosen.id}/whole.jpg", 404)
    assert f"pictures/{chosen.id}/" not in seen(visitor, link).text


def test_opening_changes_nothing_and_is_kept_from_searchers_and_other_sites(
    visitor: Browser, piece: Piece, owner: Person
):
    link, before = a_link(piece, owner), head()
    kept = list(ClientLink.objects.values())
    for _ in range(2):
        answer = visitor.get(link)
    assert head() == before and list(ClientLink.objects.values()) == kept
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert "no-store" in answer.headers["Cache-Control"] and not answer.cookies
    assert b'name="robots" content="noindex' in answer.content
    assert (
        b"http://" not in answer.content
        and b"https://" not in answer.content
        and b"<script" not in answer.content
    )
    assert visitor.post(link).status_code == 405 and visitor.get(f"{link}ask/").status_code == 405


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
    told = pages.get(f"/commissions/{piece.commission.number}/")
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


def test_the_pages_stay_within_their_queries(
    visitor: Browser,
    pages: Pages,
    work: Work,
    piece: Piece,
    owner: Person,
    django_assert_max_num_queries: object,
):
    link = a_link(piece, owner)
    for n in range(4):
        tell_client(work.call(), commission=piece.commission.number, words=f"News {n}")
    for get, path in (
        (visitor.get, link), (pages.http.get, f"/commissions/{piece.commission.number}/client/"),
        (pages.http.get, f"/commissions/{piece.commission.number}/tell/"),
    ):  # fmt: skip
        with django_assert_max_num_queries(20):
            assert get(path).status_code == 200


def test_with_everything_forgotten_it_still_opens(visitor: Browser, work: Work, piece: Piece, owner: Person):
    tell_client(work.call(), commission=piece.commission.number, words="News")
    link = a_link(piece, owner)
    PrivateText.objects.all().delete()
    assert "(forgotten)" in seen(visitor, link).words


def test_no_link_stands_in_the_log_file(visitor: Browser, piece: Piece, owner: Person):
    link = a_link(piece, owner)
    record = logging.LogRecord(
        "django.request", 30, "", 1, "Not Found: %s", (f"{link}pictures/1/whole.jpg",), None
    )
    assert WithoutTokens().filter(record)
    assert link not in record.getMessage() and "/c/.../pictures" in record.getMessage()


def a_quote(work: Work, piece: Piece, *, price: int = 2000) -> str:
    """Return an issued quote with one alternative, on a commission that is still an enquiry."""
    done = draft_quote(
        work.call(),
        commission=piece.commission.number,
        lines=[Line(description="Top <i>as drawn</i>", unit_price=Decimal(price), tax_pct=Decimal(10))],
        alternatives=[
            Alternative(
                piece=piece.number, species="white oak", description="In white oak", difference=Decimal(300)
            )
        ],
    )
    offer = str(done.events[0].data["offer"])
    issue_offer(work.call(), offer=offer)
    return offer


@pytest.fixture
def enquiry(work: Work) -> Piece:
    return a_piece(work.call(), a_commission(work.call(), a_client(work.call())))


def test_a_quote_is_accepted_on_the_page_once_whatever_is_pressed(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    offer, link, number = a_quote(work, enquiry), a_link(enquiry, owner), enquiry.commission.number
    page = seen(visitor, link)
    assert "2,200.00 USD" in page.words and "+ 330.00 USD with tax" in page.words
    assert b"&lt;i&gt;as drawn" in page.answer.content
    form = page.form("/accept/")
    del form.typed["chosen"]  # not ticked
    unsigned = Page(visitor.post(form.action, form.typed))
    assert unsigned.status == 422 and "ype your name" in unsigned.words
    form = unsigned.form("/accept/")
    signed = {**form.typed, "name": "Orla Fenwick", "chosen": "1"}
    assert [visitor.post(form.action, signed).status_code for _ in range(2)] == [302, 302]
    accepted = Event.objects.get(kind="offer_accepted")
    assert accepted.actor == f"client:{enquiry.commission.client_id}" and "Orla" not in accepted.body
    commission = Commission.objects.get(number=number)
    assert commission.step == "accepted" and commission.pieces.get().inputs["species"].startswith("white oak")
    after = seen(visitor, link)
    assert "You said yes" in after.words and "/accept/" not in after.text
    again = visitor.post(form.action, {**signed, "form_key": "another"})
    assert again.status_code == 409
    assert Event.objects.filter(kind="offer_accepted").count() == 1
    assert "Quote Q2026-0001" in after.words and offer not in after.words  # as its paper is called
    said = after.words.partition("You said yes")[2]
    assert "Top as drawn Chosen: In white oak 2,300.00 USD Tax 230.00 USD" in said
    assert "Together 2,530.00 USD" in said  # with the alternative that was chosen


def test_a_quote_revised_meanwhile_is_shown_anew_with_the_difference(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    offer, link = a_quote(work, enquiry), a_link(enquiry, owner)
    form = seen(visitor, link).form("/accept/")
    del form.typed["chosen"]
    dearer = [Line(description="Top, thicker", unit_price=Decimal(2500), tax_pct=Decimal(10))]
    rewrite_offer(work.call(), offer=offer, lines=dearer)
    issue_offer(work.call(), offer=offer)
    page = Page(visitor.post(form.action, {**form.typed, "name": "Orla"}))
    assert page.status == 409 and "New: Top, thicker, 2,500.00 USD" in page.words
    assert "No longer in it: Top as drawn , 2,000.00 USD" in page.words
    assert "Together: 2,200.00 → 2,750.00 USD" in page.words and offer not in page.words
    assert "Top, thicker" in page.words and page.form("/accept/").typed["version"] == "2"
    assert not Event.objects.filter(kind="offer_accepted").exists()


def test_a_line_with_another_price_is_told_once_with_both(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    offer, link = a_quote(work, enquiry, price=2400), a_link(enquiry, owner)
    form = seen(visitor, link).form("/accept/")
    del form.typed["chosen"]
    cheaper = Line(description="Top <i>as drawn</i>", unit_price=Decimal(2300), tax_pct=Decimal(10))
    promised = timezone.localdate() + timedelta(days=40)
    rewrite_offer(work.call(), offer=offer, lines=[cheaper], promise_on=promised)
    issue_offer(work.call(), offer=offer)
    page = Page(visitor.post(form.action, {**form.typed, "name": "Orla"}))
    assert page.status == 409 and "Top as drawn : 2,400.00 → 2,300.00 USD" in page.words
    assert f"Ready by: {promised:%-d %B %Y}" in page.words
    assert "New:" not in page.words and "No longer in it" not in page.words


def test_a_quote_is_declined_with_a_reason_and_one_of_others_is_not_here(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    a_quote(work, enquiry)
    stranger = a_piece(work.call(), a_commission(work.call(), a_client(work.call(), "Mirek Dvorsky")))
    others, link = a_quote(work, stranger), a_link(enquiry, owner)
    form = seen(visitor, link).form("/decline/")
    accepting = seen(visitor, link).form("/accept/").typed
    del accepting["chosen"]
    assert visitor.post(f"{link}offers/{others}/accept/", {**accepting, "name": "Orla"}).status_code == 404
    assert visitor.post(form.action, {**form.typed, "reason": "too dear"}).status_code == 302
    page = seen(visitor, link)
    assert "You said no" in page.words and "too dear" not in page.words


def test_an_expired_quote_cannot_be_accepted(visitor: Browser, work: Work, enquiry: Piece, owner: Person):
    offer, link = a_quote(work, enquiry), a_link(enquiry, owner)
    form = seen(visitor, link).form("/accept/")
    del form.typed["chosen"]
    Offer.objects.filter(number=offer).update(valid_until=timezone.localdate() - timedelta(days=1))
    page = Page(visitor.post(form.action, {**form.typed, "name": "Orla"}))
    assert page.status == 409 and "It held until" in page.words
