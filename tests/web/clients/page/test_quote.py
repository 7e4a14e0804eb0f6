"""A quote on the client's page: accepted once, shown again where it was revised, declined."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.utils import timezone

from jobs.domain.billing.prices import Line
from jobs.domain.quoting.draft_content import Alternative
from jobs.domain.quoting.quotes import draft_quote, issue_offer, rewrite_offer
from jobs.domain.workshop.commands import set_shop
from jobs.models import Commission, Event, Offer, Person, Piece
from jobs.worker.outbox import dispatch_outbox
from tests.shop_fixtures import Work, a_client, a_commission, a_piece
from tests.web.clients.page.visits import a_link, seen
from tests.web.pages import Page, Pages


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
    assert "2,200.00 USD" in page.words and "+ 330.00 USD with sales tax" in page.words
    assert "Yes, make it — a paid order" in page.words
    assert b"&lt;i&gt;as drawn" in page.answer.content
    form = page.form("/accept/")
    unsigned = Page(visitor.post(form.action, form.typed))
    assert unsigned.status == 422 and "ype your name" in unsigned.words
    form = unsigned.form("/accept/")
    wood = next(name for name in form.typed if name.startswith("pick-"))
    signed = {**form.typed, "name": "Orla Fenwick", wood: "1"}
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
    assert "Top as drawn Chosen: In white oak 2,300.00 USD Sales tax 230.00 USD" in said
    assert "Together 2,530.00 USD" in said  # with the alternative that was chosen


def test_a_quote_revised_meanwhile_is_shown_anew_with_the_difference(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    offer, link = a_quote(work, enquiry), a_link(enquiry, owner)
    form = seen(visitor, link).form("/accept/")
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
    assert visitor.post(f"{link}offers/{others}/accept/", {**accepting, "name": "Orla"}).status_code == 404
    assert visitor.post(form.action, {**form.typed, "reason": "too dear"}).status_code == 302
    page = seen(visitor, link)
    assert "You said no" in page.words and "too dear" not in page.words


def test_an_expired_quote_cannot_be_accepted(visitor: Browser, work: Work, enquiry: Piece, owner: Person):
    offer, link = a_quote(work, enquiry), a_link(enquiry, owner)
    form = seen(visitor, link).form("/accept/")
    Offer.objects.filter(number=offer).update(valid_until=timezone.localdate() - timedelta(days=1))
    page = Page(visitor.post(form.action, {**form.typed, "name": "Orla"}))
    assert page.status == 409 and "It was good until" in page.words


def test_a_choice_changes_the_total_before_anything_is_ordered(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    a_quote(work, enquiry)
    link, before = a_link(enquiry, owner), Event.objects.count()
    form = seen(visitor, link).form("/accept/")
    wood = next(name for name in form.typed if name.startswith("pick-"))
    page = Page(visitor.post(form.action, {**form.typed, wood: "1", "name": "Orla", "do": "total"}))
    assert page.status == 200 and "2,530.00 USD" in page.words and "1,265.00 USD" in page.words
    chosen = page.form("/accept/").typed
    assert chosen[wood] == "1" and chosen["name"] == "Orla" and Event.objects.count() == before
    signed = {**chosen, "name": "Orla"}
    assert visitor.post(form.action, signed).status_code == 302
    assert Event.objects.get(kind="price_set").data["lines"], "what was shown is what is agreed"


def test_terms_of_the_shop_stand_beside_the_button(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    set_shop(work.call(), terms="Half with the order, half on delivery.")
    a_quote(work, enquiry)
    assert "Half with the order" in seen(visitor, a_link(enquiry, owner)).words


def test_options_in_words_are_chosen_one_beside_the_other(
    visitor: Browser, work: Work, enquiry: Piece, owner: Person
):
    options = [("Edge bevelled", 60), ("Two shelves", 620)]
    draft_quote(
        work.call(),
        commission=enquiry.commission.number,
        lines=[Line(description="Top", unit_price=Decimal(2000), tax_pct=Decimal(10))],
        alternatives=[Alternative(description=words, difference=Decimal(more)) for words, more in options],
    )
    issue_offer(work.call(), offer=f"{enquiry.commission.number}-Q1")
    form = seen(visitor, a_link(enquiry, owner)).form("/accept/")
    picks = sorted(name for name in form.typed if name.startswith("pick-"))
    assert len(picks) == 2
    chosen = {**form.typed, picks[0]: "1", picks[1]: "2"}
    assert "2,948.00 USD" in Page(visitor.post(form.action, {**chosen, "do": "total"})).words
    assert visitor.post(form.action, {**chosen, "name": "Orla Fenwick"}).status_code == 302
    prices = [line.unit_price for line in enquiry.commission.price_lines.order_by("position")]
    assert prices == [2000, 60, 620]


def test_a_quote_that_lapsed_says_so_everywhere(visitor: Browser, pages: Pages, owner: Person):
    past = Work(owner, timezone.now() - timedelta(days=40))
    enquiry = a_piece(past.call(), a_commission(past.call(), a_client(past.call())))
    offer, number = a_quote(past, enquiry), enquiry.commission.number
    past.go(seconds=1)
    dispatch_outbox(past.now)
    page = seen(visitor, a_link(enquiry, owner))
    assert "It was good until" in page.words and "held until" in page.words
    assert "Yes, make it" not in page.words
    for path in (f"/offers/{offer}/", f"/search/?q={offer}", "/quotes/", f"/commissions/{number}/money/"):
        assert "lapsed" in pages.get(path).words, path
    assert "Revise or let go" in pages.get("/").words
    assert pages.http.get(f"/api/v1/quotes/{offer}/").json()[0]["standing"] == "expired"
    (paper,) = pages.http.get(f"/api/v1/commissions/{number}/").json()["papers"]
    assert paper["answer"] == "expired"
