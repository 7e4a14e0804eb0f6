"""An order that is delivered, paid and closed says so wherever it is seen, and nobody is asked again."""

import json
from decimal import Decimal as D
from typing import Any

import pytest
from django.test import Client as Browser
from django.utils import timezone

from jobs.core.errors import WrongState
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.queries import receivables
from jobs.domain.billing.sending import remind
from jobs.domain.billing.statements import issue_statement
from jobs.domain.papers.issuing import record_rendering
from jobs.log.private_texts import read
from jobs.models import Commission, Paper, Person, Piece, ReminderDue
from tests.api.client import Api
from tests.shop_fixtures import ROUTES, SHORT, Work, a_price, issue_checklist, quick_sheets, the_paper
from tests.web.clients.page.visits import a_link
from tests.web.pages import Page, Pages


@pytest.fixture
def piece(work: Work, settings: Any) -> Piece:
    """Return a delivered piece of an order of 1100.00, with its invoice, not paid."""
    settings.ROUTES_DIR = ROUTES
    quick_sheets(work.call())
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    work.do(piece, "deliver")
    invoice = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
    record_rendering(work.call(), paper=invoice.number, sha256="0" * 64, size_bytes=1)
    return piece


def client_page(piece: Piece, owner: Person) -> str:
    return Page(Browser().get(a_link(piece, owner))).words


def test_what_is_delivered_is_told_once(pages: Pages, work: Work, owner: Person, piece: Piece):
    words = client_page(piece, owner)
    assert "It is delivered." in words and "It is delivered. Delivered." not in words
    assert words.count("elivered.") == 2, "the state of the order, and the diary"
    assert "1,100.00 USD" in words and "To pay" in words


def test_a_paid_order_says_so_everywhere(pages: Pages, work: Work, owner: Person, piece: Piece):
    number, invoice = piece.commission.number, Paper.objects.get(kind=Paper.INVOICE).number
    assert ReminderDue.objects.filter(subject=f"invoice:{invoice}").exists()
    record_payment(work.call(), commission=number, amount=D(1100), method="card")
    assert Commission.objects.get().step == "closed"
    # The shop's pages.
    assert "Delivered, paid and closed." in pages.get(f"/commissions/{number}/").words
    money = pages.get(f"/commissions/{number}/money/").words
    assert "all of it paid" in money and f"Invoice {invoice}" in money and "1,100.00 USD, paid" in money
    assert "due by" not in money
    found = pages.get(f"/search/?q={invoice}").words
    assert "invoice · Desk by the window paid" in found
    assert "closed" in pages.get(f"/search/?q={number}").words
    # The client's page.
    words = client_page(piece, owner)
    assert "Delivered and closed." in words and "All of it is paid. Thank you." in words
    assert f"{invoice} {timezone.localdate():%-d %B %Y}" not in words or "paid" in words
    assert "To pay" not in words and "Reference" not in words
    # The API.
    api = Api(work.by)
    shown = api.get(f"commissions/{number}/").data
    assert (shown["step"], shown["money"]["summary"]["state"]) == ("closed", "paid")
    assert api.get(f"papers/{invoice}/").data["invoice"]["state"] == "paid"
    hits = {group["kind"]: group["hits"][0] for group in api.get(f"search/?q={invoice}").data}
    assert hits["paper"]["state"] == "paid"
    # Lists, statement, mails.
    assert receivables(today=timezone.localdate())["invoices"] == []
    issue_statement(work.call(), client=piece.commission.client_id)
    said = json.loads(read(Paper.objects.get(kind=Paper.STATEMENT).frozen_ref))["accounts"][0]
    assert (said["open"], said["moves"][-1]["owed"], said["orders"][0]["state"]) == ([], "0.00", "paid")
    assert not ReminderDue.objects.filter(subject=f"invoice:{invoice}").exists()
    with pytest.raises(WrongState, match="is paid"):
        remind(work.call(), paper=invoice, to="orla@example.org")


def test_who_paid_too_much_is_told_so_and_asked_for_nothing(
    pages: Pages, work: Work, owner: Person, piece: Piece
):
    number = piece.commission.number
    record_payment(work.call(), commission=number, amount=D(1150), more_than_owed=True)
    words = client_page(piece, owner)
    assert "50.00 USD is in your favor." in words and "To pay" not in words
    assert "50.00 USD in their favor" in pages.get(f"/commissions/{number}/money/").words
