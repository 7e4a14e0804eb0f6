"""The pages of an order without a quote, and the one big button of a commission."""

import re
from datetime import date
from decimal import Decimal

import pytest

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.prices import Line
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.quoting.acceptance import decline_offer
from jobs.domain.quoting.quotes import draft_quote, issue_offer
from jobs.models import Commission, Paper, Piece
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, a_price
from tests.web.pages import Pages

AGREED = {"price": "1,200.50", "promise_on": "2999-01-01", "deposit": ""}


@pytest.fixture
def number(work: Work) -> str:
    """Return the number of an enquiry with one piece."""
    commission = a_commission(work.call(), a_client(work.call()))
    a_piece(work.call(), commission)
    return commission.number


def next_action(pages: Pages, number: str) -> str:
    """Return the words of the one big button."""
    found = re.findall(r'<a class="go next".*?<b>(.*?)</b>', pages.get(f"/commissions/{number}/").text, re.S)
    return found[0] if found else ""


def buttons(pages: Pages, number: str) -> list[str]:
    page = pages.get(f"/commissions/{number}/").text
    return re.findall(r'<a class="(?:go|also)[^>]*>(.*?)</a>', page, re.S)


class TestAccepting:
    def test_no_button_of_an_enquiry_accepts_it(self, pages: Pages, number: str):
        assert not [said for said in buttons(pages, number) if "ccept" in said]
        page = pages.get(f"/commissions/{number}/")
        assert "Ordered without a quote" in page.words and f"/commissions/{number}/accept/" in page.text

    def test_it_asks_for_price_and_day(self, pages: Pages, number: str):
        at = f"/commissions/{number}/accept/"
        assert "needs a price and a promised day" in pages.send(at, status=409).words
        page = pages.send(at, {"price": "900"}, status=409)
        assert "needs a promised day" in page.errors["promise_on"]
        assert page.form().typed["price"] == "900"
        pages.send(at, AGREED)
        found = Commission.objects.get()
        assert found.step == "accepted" and found.price_lines.get().unit_price == Decimal("1200.5")

    def test_what_they_want_stands_beside_what_is_agreed(self, pages: Pages, work: Work, number: str):
        asked = {"budget": Decimal(1500), "wanted_on": date(2999, 1, 1)}
        change_commission(work.call(), commission=number, **asked)
        words = pages.get(f"/commissions/{number}/accept/").words
        assert "Their budget: 1,500.00 USD." in words and "They want it by Tue 1 Jan 2999" in words

    def test_a_price_that_is_set_is_shown_and_not_asked_again(self, pages: Pages, work: Work, number: str):
        a_price(work.call(), Commission.objects.get())
        page = pages.get(f"/commissions/{number}/accept/")
        assert "1,100.00 USD" in page.words and "price" not in page.form().typed
        pages.send(f"/commissions/{number}/accept/", {"promise_on": "2999-01-01", "deposit": "50"})
        assert "Deposit invoice I2026-0001" in pages.get(f"/commissions/{number}/money/").words

    def test_the_deposit_is_the_shops_usual_share_or_a_sum(self, pages: Pages, number: str):
        at = f"/commissions/{number}/accept/"
        assert pages.get(at).form().typed["deposit"] == "50", "as set for the shop"
        for wrong, says in (("120", "0 to 100"), ("half", "a decimal number")):
            page = pages.send(at, {**AGREED, "deposit": wrong}, status=422)
            assert says in page.errors["deposit"] and page.form().typed["price"] == "1,200.50"
        page = pages.send(at, {**AGREED, "deposit": "5,000", "deposit_in": "sum"}, status=422)
        assert "0.01 to 1200.50" in page.errors["deposit"]
        pages.send(at, {**AGREED, "deposit": "333.33", "deposit_in": "sum"})
        assert Paper.objects.get().invoice.total == Decimal("333.33")

    def test_the_old_address_leads_to_it(self, pages: Pages, number: str):
        answer = pages.get(f"/commissions/{number}/move/accepted/", 302).answer
        assert answer["Location"] == f"/commissions/{number}/accept/"


class TestTakingItBack:
    def test_it_is_taken_back(self, pages: Pages, number: str):
        pages.send(f"/commissions/{number}/accept/", AGREED)
        assert "Take back the acceptance" in pages.get(f"/commissions/{number}/").words
        pages.send(f"/commissions/{number}/take-back/", {"reason": "the wrong one"})
        page = pages.get(f"/commissions/{number}/history/")
        assert Commission.objects.get().step == "enquiry"
        assert "Acceptance taken back" in page.words and "the wrong one" in page.words

    def test_what_rests_on_it_is_named_and_nothing_is_asked(self, pages: Pages, number: str):
        pages.send(f"/commissions/{number}/accept/", {**AGREED, "deposit": "50"})
        page = pages.get(f"/commissions/{number}/take-back/")
        assert "Invoice I2026-0001 is issued; credit it first." in page.words
        assert "Take it back" not in page.words


class TestEndingEarly:
    def test_a_client_who_declines_need_not_say_why(self, pages: Pages, number: str):
        at = f"/commissions/{number}/move/declined/"
        assert at in pages.get(f"/commissions/{number}/").text
        assert "Nobody has to say why" in pages.get(at).words
        pages.send(at)
        assert Commission.objects.get().step == "declined"

    def test_who_cancels_says_why_once(self, pages: Pages, number: str):
        at = f"/commissions/{number}/move/cancelled/"
        assert "ay why" in pages.send(at, status=422).errors["reason"]
        pages.send(at, {"reason": "the house was sold"})
        page = pages.get(f"/commissions/{number}/")
        assert Commission.objects.get().step == "cancelled" and "the house was sold" in page.words

    def test_nothing_marks_a_commission_quoted_or_accepted(self, pages: Pages, number: str):
        page = pages.get(f"/commissions/{number}/")
        assert "move/quoted" not in page.text and "move/accepted" not in page.text
        pages.get(f"/commissions/{number}/move/quoted/", 404)


class TestTheNextAction:
    def test_of_an_enquiry_it_is_to_write_a_quote(self, pages: Pages, maker_pages: Pages, number: str):
        assert next_action(pages, number) == "Write the quote"
        assert next_action(maker_pages, number) != "Write the quote"
        assert (
            "Write the quote" in pages.get("/").words and "Write the quote" not in maker_pages.get("/").words
        )

    def test_a_declined_quote_ends_what_is_next(self, pages: Pages, work: Work, number: str):
        line = Line(description="Top", unit_price=Decimal(1000), tax_pct=Decimal(10))
        draft_quote(work.call(), commission=number, lines=[line], valid_days=60)
        issue_offer(work.call(), offer=f"{number}-Q1")
        assert next_action(pages, number) == "Send the quote"
        assert f"/pieces/{number}-1/stages/survey/" in pages.get("/").text
        decline_offer(work.call(), offer=f"{number}-Q1", version=1)
        page = pages.get(f"/commissions/{number}/")
        assert next_action(pages, number) == "" and "Start: " not in page.words
        assert f"/pieces/{number}-1/stages/survey/" not in pages.get("/").text
        assert Commission.objects.get().step == "declined"

    def test_of_a_delivered_order_it_is_the_invoice(self, pages: Pages, work: Work, piece: Piece):
        number = piece.commission.number
        a_price(work.call(), piece.commission)
        Commission.objects.filter(number=number).update(step="delivered")
        assert next_action(pages, number) == "Issue the invoice and send it"
        issue_invoice(work.call(), commission=number)
        assert next_action(pages, number) == "Send the invoice"
