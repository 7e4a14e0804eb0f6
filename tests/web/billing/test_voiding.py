"""A mistyped payment at its page: what it is, what depends on it, one more tap."""

import re
from decimal import Decimal

import pytest

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.statements import issue_receipt
from jobs.domain.clients.portal_links import make_link
from jobs.domain.papers.issuing import record_rendering
from jobs.models import Payment, Person, Piece
from tests.shop_fixtures import Work, a_price
from tests.web.pages import Pages, head


@pytest.fixture
def paid(work: Work, piece: Piece) -> Payment:
    a_price(work.call(), piece.commission)
    issue_invoice(work.call(), commission=piece.commission.number)
    record_payment(work.call(), commission=piece.commission.number, amount=Decimal(801), note="by bank")
    return Payment.objects.get()


def test_it_is_shown_then_voided_and_stands_as_void_with_who_and_why(pages: Pages, paid: Payment):
    number, before = paid.commission.number, head()
    assert f"/payments/{paid.id}/correct/" in pages.get(f"/commissions/{number}/money/").text
    page = pages.get(f"/payments/{paid.id}/void/")
    assert "801.00 USD" in page.words and "by bank" in page.words and head() == before
    pages.send(f"/payments/{paid.id}/void/", {"reason": "digits turned round"})
    page = pages.get(f"/commissions/{number}/money/")
    assert "1,100.00 USD" in page.words and "Ada Lindenau: digits turned round" in page.words
    assert f"/payments/{paid.id}/void/" not in page.text
    assert "Payment voided" in pages.get(f"/commissions/{number}/history/?all").words
    assert "Voided by Ada Lindenau" in pages.get(f"/payments/{paid.id}/void/").words


def test_its_receipt_is_said_to_be_void(pages: Pages, work: Work, owner: Person, paid: Payment):
    number = paid.commission.number
    issue_receipt(work.call(), payment=paid.id)
    record_rendering(work.call(), paper="R2026-0001", sha256="a" * 64, size_bytes=1)
    assert "Receipt R2026-0001 becomes void" in pages.get(f"/payments/{paid.id}/void/").words
    pages.send(f"/payments/{paid.id}/void/")
    page = pages.get(f"/payments/{paid.id}/receipt/")
    assert "This payment is void" in page.words and "Its receipt R2026-0001 is void too" in page.words
    assert "Issue the receipt" not in page.words
    text = pages.get(f"/commissions/{number}/money/").text
    card = re.split(r"Receipt\s+R2026-0001", text)[1].split("</li>")[0]
    assert ">void<" in card
    link = make_link(owner, commission=number, now=work.now)[1]
    assert "Receipt R2026-0001" in pages.get(f"/c/{link}/").words
    assert ", void" in pages.get(f"/c/{link}/").words


def test_what_rests_on_it_is_named_before_anything_is_asked(pages: Pages, work: Work, piece: Piece):
    a_price(work.call(), piece.commission)
    record_payment(work.call(), commission=piece.commission.number, amount=Decimal(100))
    issue_invoice(work.call(), commission=piece.commission.number)
    page = pages.get(f"/payments/{Payment.objects.get().id}/void/")
    assert "was issued with this payment on it; credit it first" in page.words
    assert "form_key" not in page.text
    page = pages.get(f"/payments/{Payment.objects.get().id}/correct/")
    assert "credit it first" in page.words and "form_key" not in page.text


def test_a_mistyped_one_is_corrected_in_one_form(pages: Pages, work: Work, paid: Payment):
    issue_receipt(work.call(), payment=paid.id)
    page = pages.get(f"/payments/{paid.id}/correct/")
    typed = page.form().typed
    assert (typed["amount"], typed["note"], typed["receipt"]) == ("801.00", "by bank", "on")
    assert "Receipt R2026-0001 becomes void" in page.words
    pages.send(f"/payments/{paid.id}/correct/", {"amount": "810", "method": "check", "reason": "mistyped"})
    right = Payment.objects.latest("id")
    assert (right.amount, right.method, right.receipts.get().number) == (810, "check", "R2026-0002")
    assert Payment.objects.get(id=paid.id).voided_at and paid.receipts.get().withdrawn_at
