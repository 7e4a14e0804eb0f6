"""A quote that is out, on the pages: opened, asked about again, lapsed, declined, taken up again, counted."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone

from jobs.domain.billing.prices import Line
from jobs.domain.clients.portal_links import make_mailed_link
from jobs.domain.quoting.quotes import draft_quote
from jobs.domain.quoting.sending import send_offer
from jobs.log.private_texts import read
from jobs.models import Commission, Offer, PaperSending, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.pages import Page, Pages

pytestmark = pytest.mark.django_db


@pytest.fixture
def sent(work: Work) -> Offer:
    """Return a quote that was mailed to its client."""
    piece: Piece = a_piece(work.call(), a_commission(work.call(), a_client(work.call())))
    line = Line(description="Top as drawn", unit_price=Decimal(2000), tax_pct=Decimal(10))
    draft_quote(work.call(), commission=piece.commission.number, lines=[line])
    send_offer(work.call(), offer=f"{piece.commission.number}-Q1", to="orla@fenwick.example")
    days_ago(Offer.objects.get(), 0)
    return Offer.objects.get()


@pytest.fixture
def link(sent: Offer) -> str:
    """Return the address that the mail carries."""
    mail = f"sent:{PaperSending.objects.get().id}"
    return f"/c/{make_mailed_link(sent.commission, mail=mail, by='owner', now=timezone.now())[1]}/"


def days_ago(offer: Offer, days: int) -> None:
    """Let a quote have been sent so many days ago."""
    moment = timezone.now() - timedelta(days=days)
    PaperSending.objects.update(sent_at=moment)
    Offer.objects.update(issued_at=moment, valid_until=moment.date() + timedelta(days=30))


def next_of(pages: Pages, offer: Offer) -> Any:
    return pages.get(f"/offers/{offer.number}/")


def test_only_a_person_who_does_something_on_the_page_opens_it(pages: Pages, sent: Offer, link: str):
    visitor = Browser(enforce_csrf_checks=True)
    for _ in range(3):  # a program that follows the links of a mail
        page = Page(visitor.get(link))
    assert PaperSending.objects.get().opened_at is None and "Not opened yet" in next_of(pages, sent).words
    mark = page.text.partition('data-mark="')[2].partition('"')[0]
    assert visitor.post(f"{link}opened/", {"mark": "no mark"}).status_code == 403
    assert [visitor.post(f"{link}opened/", {"mark": mark}).status_code for _ in range(2)] == [204, 204]
    assert PaperSending.objects.get().opened_at is not None
    assert "Opened today" in next_of(pages, sent).words
    assert "data-mark" not in Page(visitor.get(link)).text
    links = pages.get(f"/commissions/{sent.commission.number}/client/").words
    assert "Sent with Q" in links and "opened" in links


def test_who_answers_has_opened_it(pages: Pages, sent: Offer, link: str):
    visitor = Browser(enforce_csrf_checks=True)
    form = Page(visitor.get(link)).form("/decline/")
    assert visitor.post(form.action, form.typed).status_code == 302  # nobody has to say why
    assert PaperSending.objects.get().opened_at is not None
    assert Commission.objects.get().step == "declined"


def test_after_five_days_it_is_asked_again_with_proposed_words(pages: Pages, sent: Offer):
    at = f"/offers/{sent.number}/"
    assert "Ask again" not in pages.get(at).words
    days_ago(sent, 5)
    assert "Ask again" in pages.get(at).words
    form = pages.get(f"{at}again/").form()
    assert form.typed["words"].startswith("A few days ago we sent you our quote for your desk by the window.")
    pages.send(f"{at}again/")
    assert [one.occasion for one in PaperSending.objects.order_by("id")] == ["quote", "quote again"]
    assert "Ask again" not in pages.get(at).words and "asked again" in pages.get(at).words


def test_a_quote_that_lapsed_is_let_go_with_a_reason_once(pages: Pages, sent: Offer):
    days_ago(sent, 40)
    at, number = f"/offers/{sent.number}/", sent.commission.number
    words = pages.get(at).words
    assert "It lapsed after" in words and "Revise or let go" in words
    assert "Revise or let go" in pages.get(f"/commissions/{number}/").words
    told = pages.send(f"{at}let-go/", {"because": "price", "reason": "Another was cheaper"})
    assert told.status == 302 and Commission.objects.get().step == "declined"
    assert "Price: Another was cheaper" in pages.get(at).words
    again = pages.get(f"{at}let-go/").form()
    assert pages.post(f"{at}let-go/", {**again.typed, "because": "time"}, 409).status == 409
    counted = pages.get("/quotes/").words
    assert "Price 1" in counted and "0 %" in counted


def test_a_decline_is_undone_where_it_was_pressed(pages: Pages, sent: Offer):
    at = f"/offers/{sent.number}/"
    pages.send(at, {"because": "time"}, to="/1/decline/")
    assert Commission.objects.get().step == "declined"
    page = pages.get(at)
    undo = next(form for form in page.forms if form.action.endswith("/take-up/"))
    pages.post(undo.action, undo.typed)
    assert (Commission.objects.get().step, Offer.objects.get().step) == ("quoted", "issued")
    assert "Waiting for the client since" in pages.get(at).words


def test_a_declined_quote_is_revised_in_one_step(pages: Pages, sent: Offer):
    at = f"/offers/{sent.number}/"
    pages.send(at, {"reason": "too dear"}, to="/1/decline/")
    pages.get(at)  # the offer to undo it is shown once
    form = pages.get(f"{at}write/").form()
    pages.post(f"{at}write/", {**form.typed, "lines/0/unit_price": "1800", "do": "send"})
    newest = Offer.objects.latest("version")
    assert (newest.version, newest.step, Commission.objects.get().step) == (2, "issued", "quoted")
    assert read(Offer.objects.get(version=1).reason_ref) == "too dear"


def test_a_mail_that_never_arrived_is_shown_and_can_be_sent_again(pages: Pages, sent: Offer):
    PaperSending.objects.update(failed_at=timezone.now(), trouble="the mail server refused it: 550")
    page = next_of(pages, sent)
    assert "did not go out: the mail server refused it: 550" in page.words
    assert "Not sent yet" in page.words and "Send the quote" in page.words


def test_makers_see_no_quotes(maker_pages: Pages, sent: Offer):
    for path in ("/quotes/", f"/offers/{sent.number}/again/", f"/offers/{sent.number}/let-go/"):
        assert maker_pages.get(path, 403).status == 403


def test_the_hit_rate_counts_what_was_decided(pages: Pages, sent: Offer):
    assert "No quote is out" not in pages.get("/quotes/").words
    pages.send(f"/offers/{sent.number}/", to="/1/accept/")
    words = pages.get("/quotes/").words
    assert "100 %" in words and "No quote is out" in words and "Why they were lost" not in words
