"""From the deposit to the closed order by taps alone, at the size of a phone, with nothing typed."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.domain.billing.invoice_commands import issue_deposit
from jobs.domain.clients.commands import change_client
from jobs.domain.workshop.commands import set_shop
from jobs.models import Commission, Person, Piece
from tests.shop_fixtures import ROUTES, SHORT, Work, a_price, issue_checklist, quick_sheets
from tests.web.browser.conftest import open_page

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.takes(20)]
PHONE_HEIGHT = 844


@pytest.fixture
def work(owner: Person, settings) -> Work:
    settings.ROUTES_DIR = ROUTES
    work = Work(owner, timezone.now() - timedelta(days=30))
    quick_sheets(work.call())
    set_shop(work.call(), name="Lindenau Table Works", address="9 Mill Race", payment="Check to Lindenau")
    return work


@pytest.fixture
def piece(work: Work) -> Piece:
    """Return a piece of 1100.00 whose client has an address."""
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    change_client(work.call(), client=piece.commission.client_id, email="orla@fenwick.example")
    return piece


def tap_through(screen: Page, says: list[tuple[str, str]]) -> None:
    """Tap the next action of the commission, then the one button of its page; two taps for each step."""
    for action, button in says:
        following = screen.locator("a.next").first
        expect(following).to_contain_text(action)
        following.click()
        height = screen.evaluate("document.documentElement.scrollHeight")
        assert height <= PHONE_HEIGHT, f"{action}: {height} px, more than one screen"
        go = screen.locator(".stick .go")
        expect(go).to_have_count(1)
        expect(go).to_have_text(button)
        go.click()
        screen.wait_for_url("**/commissions/**")


def test_a_deposit_is_sent_and_recorded_with_nothing_typed(screen: Page, work: Work, piece: Piece):
    issue_deposit(work.call(), commission=piece.commission.number, pct=Decimal(50))
    work.do(piece, "survey")
    screen.set_viewport_size({"width": 390, "height": PHONE_HEIGHT})
    open_page(screen, f"/commissions/{piece.commission.number}/")
    tap_through(screen, [("Send the deposit invoice", "Send the deposit invoice")])
    open_page(screen, f"/commissions/{piece.commission.number}/payment/")
    expect(screen.get_by_label("Amount")).to_have_value("550.00")
    screen.locator(".stick .go").click()
    screen.wait_for_url("**/commissions/**")
    assert piece.commission.payments.get().receipts.get().sendings.get().by_mail


def test_a_delivered_order_is_billed_paid_and_closed_in_four_taps(screen: Page, work: Work, piece: Piece):
    number = piece.commission.number
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=number)
    work.do(piece, "deliver")
    screen.set_viewport_size({"width": 390, "height": PHONE_HEIGHT})
    open_page(screen, f"/commissions/{number}/")
    tap_through(
        screen,
        [
            ("Issue the invoice and send it", "Issue it and send it"),
            ("Record the payment", "Record the payment"),
        ],
    )
    expect(screen.get_by_text("Delivered, paid and closed.")).to_be_visible()
    assert Commission.objects.get(number=number).step == "closed"
