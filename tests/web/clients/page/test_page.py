"""The client's page: what it shows and keeps from others."""

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.test import Client as Browser
from django.utils import timezone

from jobs.core import blobs
from jobs.domain import lookups
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.clients.updates import tell_client
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.notes.pictures import remove_picture
from jobs.domain.overviews.client_portal_steps import by_day
from jobs.domain.papers.issuing import record_rendering
from jobs.domain.workshop.commands import set_shop
from jobs.models import ClientLink, Person, Piece, PrivateText
from tests.shop_fixtures import (
    ROUTES,
    SHORT,
    Work,
    a_client,
    a_commission,
    a_price,
    good,
    issue_checklist,
    quick_sheets,
    the_paper,
)
from tests.web.clients.page.visits import a_link, a_picture, seen
from tests.web.pages import Pages, head


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
        "We chose the wood.", "The wood is getting used to our air.", "Next: rough milling of the boards.",
        "With you by", "at 35 to 55 %", "wider in the most humid part of the year",
    ):  # fmt: skip
        assert said in page.words, said
    assert f"{day:%A} {day.day} {day:%B}" in page.words


def test_it_names_no_day_ahead_but_the_promised_one(
    visitor: Browser, work: Work, slow_piece: Piece, owner: Person
):
    work.now = timezone.now() - timedelta(hours=20)
    work.do_until(slow_piece, "stock")
    page, today = seen(visitor, a_link(slow_piece, owner)), timezone.localdate()
    ahead = [today + timedelta(days=n) for n in range(1, 120)]
    named = [day for day in ahead if f"{day.day} {day:%B}" in page.words]
    assert named == [] and "until" not in page.words and "between" not in page.words.lower()
    promised = today + timedelta(days=60)
    change_commission(work.call(), commission=slow_piece.commission.number, promise_on=promised)
    page = seen(visitor, a_link(slow_piece, owner))
    assert [day for day in ahead if f"{day:%A} {day.day} {day:%B}" in page.words] == [promised]


def test_five_steps_follow_the_work(visitor: Browser, work: Work, piece: Piece, owner: Person):
    def stands() -> dict[str, str]:
        text = seen(visitor, a_link(piece, owner)).text
        return dict((name, state) for state, name in re.findall(r'<li class="(\w*)"[^>]*><b>(\w+)</b>', text))

    assert stands() == {"Agreed": "done", "Wood": "here", "Made": "", "Finished": "", "Delivered": ""}
    work.do_until(piece, "stock")
    work.go(days=30)
    work.do_until(piece, "resand")
    assert stands() == {"Agreed": "done", "Wood": "done", "Made": "done", "Finished": "here", "Delivered": ""}


def test_the_wood_of_its_pieces_is_drawn_and_of_no_other(
    visitor: Browser, work: Work, piece: Piece, owner: Person
):
    link, other = a_link(piece, owner), work.accepted()
    page = seen(visitor, link)
    drawn = re.findall(r'src="(/c/[^"]+svg[^"]*)"', page.text)
    assert len(drawn) == 1 and visitor.get(drawn[0]).headers["Content-Type"] == "image/svg+xml"
    assert visitor.get(f"{link}wood/{other.number}.svg").status_code == 404
    shown = a_picture(work, piece, "survey")
    tell_client(work.call(), commission=piece.commission.number, words="Begun", pictures=[shown.id])
    page = seen(visitor, link)
    assert "/wood/" not in page.text and f"pictures/{shown.id}/whole.jpg" in page.text, "a photo is there"


def test_what_is_due_says_how_much_to_whom_and_with_which_words(
    visitor: Browser, work: Work, piece: Piece, owner: Person
):
    set_shop(work.call(), payment="Oxmere Mutual\n00-4417-22", contact="555 0133, bench@larkfield.example")
    a_price(work.call(), piece.commission)
    link = a_link(piece, owner)
    assert "To pay" not in seen(visitor, link).words
    invoice = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
    page = seen(visitor, link)
    for said in ("To pay", "1,100.00 USD", "Oxmere Mutual 00-4417-22", f"Reference {invoice.number}"):
        assert said in page.words, said
    assert 'href="tel:5550133"' in page.text and 'href="mailto:bench@larkfield.example"' in page.text
    record_payment(work.call(), commission=piece.commission.number, amount=Decimal(1100))
    assert "To pay" not in seen(visitor, link).words


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
    link = a_link(piece, owner)
    page = seen(visitor, link)
    told = re.sub(r'value="[^"]*"', "", page.text).replace(link, "")  # keys of chance may hold any digits
    for secret in (
        "Mirek", "bakery", "14.59", "pays late", "333", "1100", "1,000", "sock", "difficult", "crack",
        owner.name, owner.id, f"/pictures/{kept_back.id}/", "Orla", "/commissions/", "/pieces/",
    ):  # fmt: skip
        assert secret not in told, secret
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
    assert f"papers/{bills[0].number}" not in seen(visitor, link).text, "it has no file yet"
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
        and re.findall(rb"<script[^>]*>", answer.content) == [b'<script src="/static/web/client.js" defer>']
    )
    assert visitor.post(link).status_code == 405 and visitor.get(f"{link}ask/").status_code == 405


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


def test_a_day_of_many_steps_is_folded_to_the_newest():
    noon = timezone.now().replace(hour=12)
    entries = [{"at": noon + timedelta(minutes=n), "text": f"Step {n}."} for n in range(7)]
    (day,) = by_day(entries)
    assert day["noted"] == ["Step 3.", "Step 4.", "Step 5.", "Step 6."]
    assert day["folded"] == ["Step 0.", "Step 1.", "Step 2."]
