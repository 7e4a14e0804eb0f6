"""Who sees what: nobody, a maker, the owner. Every page declares for whom it is."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.urls import URLPattern

from jobs.core.units import Units
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.papers.issuing import record_rendering
from jobs.log.history import told
from jobs.models import Event, Piece
from jobs.web.commissions.history import event_rows
from jobs.web.urls import urlpatterns
from tests.shop_fixtures import Work, a_price, the_paper
from tests.web.pages import Pages, head

OWNERS = (
    "/people/",
    "/people/new/",
    "/shop/",
    "/sheets/",
    "/sheets/glue/pva/",
    "/sheets/glue/pva/new/",
    "/log/",
    "/lost-mail/",
)
ON_COMMISSION = ("price", "payment", "invoice", "move/cancelled", "draft/invoice")


def patterns() -> Iterator[URLPattern]:
    yield from (p for p in urlpatterns if isinstance(p, URLPattern))


@pytest.mark.parametrize("pattern", list(patterns()), ids=lambda p: p.name)
def test_every_page_says_for_whom_it_is(pattern: URLPattern):
    assert pattern.callback.access in ("anyone", "worker", "owner")


def test_only_signing_in_and_what_a_secret_link_opens_is_for_anyone():
    """The pages of a client's link and the calendar feed check their token; two belong to a phone."""
    found = {str(p.pattern) for p in patterns() if p.callback.access == "anyone"}
    assert {p for p in found if "token>" not in p} == {"sign-in/", "service-worker.js", "no-signal/"}


@pytest.mark.parametrize("path", ["/", "/commissions/", "/clients/", "/me/", *OWNERS])
def test_who_has_not_signed_in_is_sent_to_do_so_and_back(db: None, path: str):
    answer = Pages().get(path, 302).answer
    assert answer.url == f"/sign-in/?next={path}"


def test_a_part_of_a_page_sends_the_whole_page_to_sign_in(db: None):
    page = Pages().get("/bench/now/", 204, **{"HX-Request": "true", "HX-Current-URL": "http://testserver/"})
    assert page.answer["HX-Redirect"] == "/sign-in/?next=/"


@pytest.mark.parametrize("path", OWNERS)
def test_owners_pages_are_closed_to_a_maker(maker_pages: Pages, path: str):
    assert "for the owner" in maker_pages.get(path, 403).words


@pytest.mark.parametrize("path", OWNERS)
def test_owners_pages_open_to_the_owner(pages: Pages, path: str):
    pages.get(path)


@pytest.mark.parametrize("name", ON_COMMISSION)
def test_money_of_a_commission_is_closed_to_a_maker(maker_pages: Pages, piece: Piece, name: str):
    maker_pages.get(f"/commissions/{piece.commission.number}/{name}/", 403)


def test_a_maker_sees_no_money_and_no_owners_stage(maker_pages: Pages, work: Work, piece: Piece):
    a_price(work.call(), piece.commission)
    issue_invoice(work.call(), commission=piece.commission.number)
    page = maker_pages.get(f"/commissions/{piece.commission.number}/?events")
    assert "1,100" not in page.words and "USD" not in page.words and "nvoice" not in page.words
    assert "Price" not in page.words and "/stages/paid/" not in page.text and "Cost" not in page.words


def test_a_page_leaves_out_for_a_maker_what_the_query_leaves_out(work: Work, piece: Piece):
    number = piece.commission.number
    a_price(work.call(), piece.commission)
    record_payment(work.call(), commission=number, amount=Decimal(100), what="deposit")
    invoice = the_paper(issue_invoice(work.call(), commission=number)).number
    record_rendering(work.call(), paper=invoice, sha256="0" * 64, size_bytes=9)
    events = Event.objects.filter(stream=f"commission:{number}").order_by("seq")
    page = event_rows(events, units=Units(), with_money=False, names={})
    assert [e["seq"] for e in page] == [e["seq"] for e in told(number, with_money=False)]
    assert len(page) == events.count() - 4, "price, payment, invoice and its rendering"


def test_the_owner_sees_the_money(pages: Pages, work: Work, piece: Piece):
    a_price(work.call(), piece.commission)
    page = pages.get(f"/commissions/{piece.commission.number}/")
    assert "1,100.00 USD" in page.words and "/stages/paid/" in page.text


def test_an_owners_stage_refuses_a_maker_and_writes_nothing(maker_pages: Pages, work: Work, piece: Piece):
    before = head()
    maker_pages.get(f"/pieces/{piece.number}/stages/paid/", 403)
    maker_pages.post(f"/pieces/{piece.number}/stages/paid/start/", {"form_key": "k"}, 403)
    assert head() == before


def test_an_invoice_is_closed_to_a_maker(maker_pages: Pages, work: Work, piece: Piece):
    a_price(work.call(), piece.commission)
    number = the_paper(issue_invoice(work.call(), commission=piece.commission.number)).number
    for name in ("pdf", "row", "withdraw"):
        maker_pages.get(f"/papers/{number}/{name}/", 403)


@pytest.mark.parametrize(
    "path",
    [
        "/nothing/",
        "/commissions/2001-001/",
        "/pieces/2001-001-1/change/",
        "/pieces/x/stages/y/",
        "/clients/9/",
        "/waits/9/end/",
        "/papers/D1/pdf/",
        "/people/person-x/",
        "/sheets/glue/no-such/",
        "/sheets/nail/pva/",
        "/commissions/%00/",
        "/waits/99999999999999999999999/end/",
    ],
)
def test_what_is_not_there_has_a_page_of_its_own(pages: Pages, path: str):
    assert "Not here" in pages.get(path, 404).words


def test_pages_are_private_to_the_browser(pages: Pages):
    assert pages.get("/").answer["Cache-Control"] == "private, no-cache"


def test_a_form_from_elsewhere_is_refused(owner: object, pages: Pages):
    pages.http.handler.enforce_csrf_checks = True
    assert "This form is too old" in pages.post("/clients/new/", {"name": "Orla"}, 403).words


def test_more_than_can_be_read_is_refused(pages: Pages):
    before = head()
    page = pages.post("/clients/new/", {"name": "Orla", "address": "x" * (3 * 1024 * 1024)}, 400)
    assert "too large" in page.words and head() == before
