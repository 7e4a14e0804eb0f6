"""A reference, an account and a code to pay by, on every door; and the invoice as a file of data."""

import re
from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.utils import timezone

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.clients.commands import change_client
from jobs.domain.workshop.commands import set_shop
from jobs.models import Paper, Piece
from tests.api.client import Api
from tests.documents.standards import rules_broken
from tests.shop_fixtures import Work, a_price, the_paper
from tests.web.clients.page.visits import a_link, seen
from tests.web.pages import Pages

pytestmark = pytest.mark.django_db
REFERENCE = "RF47 I202 6000 1"
SHOP = {
    "name": "Lindenau Tischplatten", "address": "Mühlgasse 4", "postcode": "10115", "city": "Berlin",
    "country": "DE", "tax_id": "DE136695976", "email": "post@lindenau.example", "person": "Wiebke Lindenau",
    "phone": "+49 30 5550199", "iban": "DE89370400440532013000",
}  # fmt: skip


@pytest.fixture
def invoice(work: Work, piece: Piece) -> Paper:
    """Return an invoice of 1100.00 in euro, of a German shop for a client without a reference."""
    set_shop(work.call(), settings={"currency": "EUR"}, **SHOP)
    change_client(
        work.call(), client=piece.commission.client_id, country="DE", city="Hamburg", postcode="20095"
    )
    a_price(work.call(), piece.commission)
    return the_paper(issue_invoice(work.call(), commission=piece.commission.number))


def test_the_client_s_page_has_account_reference_and_code_until_it_is_paid(
    work: Work, piece: Piece, invoice: Paper
):
    browser, link = Browser(), a_link(piece, work.by)
    page = seen(browser, link)
    for said in (
        f"Reference {REFERENCE}",
        "IBAN DE89 3704 0044 0532 0130 00",
        "Scan it with your bank's app",
    ):
        assert said in page.words, said
    assert f"1,100.00 EUR to Lindenau Tischplatten, reference {REFERENCE.replace(' ', '')}" in page.text
    record_payment(work.call(), commission=piece.commission.number, amount=Decimal(1100))
    after = seen(browser, link)
    assert "IBAN" not in after.words and "Payment code" not in after.text


def test_the_reference_of_a_transfer_finds_its_invoice(pages: Pages, invoice: Paper):
    for asked in (REFERENCE, REFERENCE.replace(" ", "").lower()):
        assert invoice.number in pages.get(f"/search/?q={asked}").words
    assert invoice.number not in pages.get("/search/?q=RF46 I202 6000 1").words


def test_a_paid_invoice_says_since_when(pages: Pages, work: Work, invoice: Paper, owner):
    number = invoice.commission.number
    for amount in (600, 500):
        record_payment(work.call(), commission=number, amount=Decimal(amount))
    day = timezone.localtime(work.now).date()
    assert f"paid on {day:%a} {day.day} {day:%b}" in pages.get(f"/commissions/{number}/money/").words
    view = Api(owner).get(f"papers/{invoice.number}/").data["invoice"]
    assert (view["paid_on"], view["reference"]) == (day.isoformat(), REFERENCE.replace(" ", ""))


def test_the_page_of_the_data_names_what_lacks_where_to_set_it_and_gives_the_files(
    pages: Pages, work: Work, piece: Piece, invoice: Paper
):
    shown = pages.get(f"/commissions/{invoice.commission.number}/money/")
    assert f"/papers/{invoice.number}/data/" in shown.text
    page = pages.get(f"/papers/{invoice.number}/data/")
    assert "Standard EN 16931" in page.words and "The client's reference" in page.words
    assert f"/clients/{piece.commission.client_id}/change/#id_buyer_reference" in page.text
    for syntax in ("UBL", "CII"):
        (address,) = re.findall(rf'href="([^"]+{syntax}\.xml)"', page.text)
        answer = pages.http.get(address)
        assert answer.headers["Content-Type"] == "application/xml"
        assert rules_broken(answer.content, f"EN 16931, {syntax}") == []


def test_the_api_gives_the_data_to_the_owner_alone(owner, maker, work: Work, piece: Piece):
    set_shop(work.call(), **SHOP)
    a_price(work.call(), piece.commission)
    client = piece.commission.client_id
    change_client(
        work.call(), client=client, country="DE", city="Hamburg", postcode="20095",
        email="orla@fenwick.example", buyer_reference="991-03730-19",
    )  # fmt: skip
    paper = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
    answer = Api(owner).get(f"papers/{paper.number}/data/UBL/")
    assert rules_broken(answer.content, "XRechnung, UBL")[1:] == [], "no date of supply before delivery"
    assert Api(owner).get(f"papers/{paper.number}/data/PDF/").status_code == 422
    assert Api(maker).get(f"papers/{paper.number}/data/UBL/").status_code == 403
