"""Price, payments and papers of a commission."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.core import blobs
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.papers.issuing import RENDER, record_rendering
from jobs.models import Commission, OutboxMessage, Paper, Payment, Piece, PriceLine
from tests.shop_fixtures import Work, a_price, issue_checklist, the_paper
from tests.web.pages import Pages, by_hand, head

LINE = {"lines/0/description": "Top as drawn", "lines/0/quantity": "2", "lines/0/unit_price": "1250.50"}


@pytest.fixture
def at(piece: Piece) -> str:
    return f"/commissions/{piece.commission.number}/"


class TestPrice:
    def test_setting_a_price(self, pages: Pages, at: str):
        pages.send(at + "price/", {**LINE, "lines/0/tax_pct": "10"})
        line = PriceLine.objects.get()
        assert (line.quantity, line.unit_price, line.tax_pct) == (2, Decimal("1250.50"), 10)
        # 2 x 1250.50 = 2501.00; a tenth more = 2751.10
        words = pages.get(f"{at}money/").words
        assert "2,501.00" in words and "2,751.10 USD" in words

    def test_blank_lines_between_are_left_out_and_errors_stand_at_the_right_one(self, pages: Pages, at: str):
        typed = {"lines/1/description": "Delivery", "lines/1/unit_price": "1,00"}
        page = pages.send(at + "price/", typed, status=422)
        assert "such as 2300, 2300.00 or 2,300.00" in page.errors["lines/1/unit_price"]
        assert page.form().typed["lines/1/unit_price"] == "1,00" and not PriceLine.objects.exists()

    @pytest.mark.parametrize(
        "wrong, field, says",
        [
            ({"lines/0/quantity": "0"}, "lines/0/quantity", "not 0"),
            ({"lines/0/unit_price": "-5"}, "lines/0/unit_price", "negative quantity"),
            ({"lines/0/unit_price": "NaN"}, "lines/0/unit_price", "Not a number"),
            ({"lines/0/tax_pct": "101"}, "lines/0/tax_pct", "0 to 100"),
            ({"lines/0/description": ""}, "lines/0/description", "a description"),
            ({"lines/0/quantity": "1.2345"}, "lines/0/quantity", "3 decimals"),
        ],
    )
    def test_what_is_wrong_in_a_line(
        self, pages: Pages, at: str, wrong: dict[str, str], field: str, says: str
    ):
        before = head()
        assert says in pages.send(at + "price/", {**LINE, **wrong}, status=422).errors[field]
        assert head() == before

    def test_no_line_at_all_is_refused(self, pages: Pages, at: str):
        assert "needs lines" in pages.send(at + "price/", status=422).words

    def test_more_lines_keep_what_is_typed_and_write_nothing(self, pages: Pages, at: str):
        form, before = pages.get(at + "price/").form(), head()
        page = pages.post(at + "price/", {**form.typed, **LINE, "more": "1"}, 200)
        assert page.form().typed["lines/0/description"] == "Top as drawn"
        assert "lines/3/description" in page.form().typed and head() == before

    def test_the_price_stands_in_its_form_again(self, pages: Pages, at: str):
        pages.send(at + "price/", LINE)
        assert pages.get(at + "price/").form().typed["lines/0/unit_price"] == "1250.5"

    def test_an_invoiced_price_is_refused(self, pages: Pages, work: Work, at: str, piece: Piece):
        a_price(work.call(), piece.commission)
        issue_invoice(work.call(), commission=piece.commission.number)
        assert "rests on this" in pages.send(at + "price/", LINE, status=409).words


class TestPayments:
    def test_more_than_is_owed_is_asked_about_and_said_where_it_stands(
        self, pages: Pages, work: Work, at: str, piece: Piece
    ):
        a_price(work.call(), piece.commission)  # 1100.00
        issue_invoice(work.call(), commission=piece.commission.number)
        assert "more_than_owed" not in pages.get(at + "payment/").form().typed
        page = pages.send(at + "payment/", {"amount": "1,150.00"}, status=409)
        assert "50.00 USD more than the 1100.00 USD owed" in page.errors["more_than_owed"]
        assert not Payment.objects.exists()
        asked = page.form().typed
        assert (asked["amount"], asked["more_than_owed"]) == ("1,150.00", "")
        pages.post(at + "payment/", {**asked, "more_than_owed": "yes"}, 302)
        assert Payment.objects.get().amount == 1150
        assert "50.00 USD in their favor" in pages.get(f"{at}money/").words
        assert "-50.00" not in pages.get(f"{at}money/").words

    @pytest.mark.parametrize(
        "amount, says",
        [
            ("1e3", "Not a number"),
            ("1_000", "Not a number"),
            ("٣", "Not a number"),
            ("1,00", "Not a number"),
            ("1,0000", "Not a number"),
            ("NaN", "Not a number"),
            ("", "Not a number"),
            ("0", "An amount of nothing"),
            ("12.345", "Parts of a cent"),
            ("100,000,000.01", "More than 100000000"),
            ("-5", "A negative amount"),
        ],
    )
    def test_an_amount_is_plain_digits_and_the_refusal_says_which_limit_failed(
        self, pages: Pages, at: str, amount: str, says: str
    ):
        page = pages.send(at + "payment/", {"amount": amount}, status=422)
        assert page.errors["amount"].startswith(says) and not Payment.objects.exists()

    @pytest.mark.parametrize("amount", ["2300", "+2300.00", "2,300.00", " 2,300 "])
    def test_an_amount_is_taken_as_our_own_pages_print_it(self, pages: Pages, at: str, amount: str):
        pages.send(at + "payment/", {"amount": amount})
        assert Payment.objects.get().amount == 2300

    def test_a_deposit_first_then_payments(self, pages: Pages, work: Work, at: str, piece: Piece):
        pages.send(at + "payment/", {"amount": "500", "note": "by transfer"})
        assert Payment.objects.get().what == "deposit"
        a_price(work.call(), piece.commission)
        issue_invoice(work.call(), commission=piece.commission.number)
        pages.get(at)  # it offers to undo, once
        typed = pages.get(at + "payment/").form().typed
        assert (typed["what"], typed["amount"]) == ("payment", "600.00"), "1100 less 500"
        assert "by transfer" in pages.get(f"{at}money/").words

    @pytest.mark.parametrize("amount", ["0", "-3", "1.005", "much", "", "NaN"])
    def test_what_is_no_amount(self, pages: Pages, at: str, amount: str):
        page = pages.send(at + "payment/", {"amount": amount, "note": "cash"}, status=422)
        assert page.errors["amount"] and page.form().typed["note"] == "cash" and not Payment.objects.exists()

    def test_a_day_in_the_future(self, pages: Pages, at: str):
        page = pages.send(at + "payment/", {"amount": "5", "received_on": "2999-01-01"}, status=422)
        assert "in the future" in page.errors["received_on"]


class TestOneTap:
    """The form begins with the sum that is due; the receipt goes with the payment."""

    @pytest.fixture
    def billed(self, work: Work, piece: Piece) -> Piece:
        """Return a piece of 1100.00 whose client has an address; a deposit of 550.00 is asked."""
        a_price(work.call(), piece.commission)
        change_client(work.call(), client=piece.commission.client_id, email="orla@fenwick.example")
        issue_deposit(work.call(), commission=piece.commission.number, pct=Decimal(50))
        return piece

    def test_the_deposit_is_taken_as_it_stands_and_its_receipt_mailed(
        self, pages: Pages, at: str, billed: Piece
    ):
        page = pages.get(at + "payment/")
        typed = page.form().typed
        assert (typed["amount"], typed["method"], typed["receipt"]) == ("550.00", "transfer", "on")
        assert "Mail the receipt to orla@fenwick.example" in page.words
        assert "All of it, 1,100.00 USD" in page.words
        pages.send(at + "payment/")
        paid = Payment.objects.get()
        assert (paid.amount, paid.method, paid.what) == (550, "transfer", "deposit")
        assert paid.receipts.get().sendings.get().by_mail

    def test_all_of_it_is_one_tap_more(self, pages: Pages, at: str, billed: Piece):
        assert pages.get(at + "payment/?sum=all").form().typed["amount"] == "1100.00"
        assert pages.get(at + "payment/?sum=nothing").form().typed["amount"] == "550.00"

    def test_without_the_tick_there_is_no_receipt(self, pages: Pages, at: str, billed: Piece):
        pages.send(at + "payment/", {"receipt": "", "method": "cash"})
        paid = Payment.objects.get()
        assert paid.method == "cash" and not paid.receipts.exists()

    def test_the_next_payment_comes_the_same_way(self, pages: Pages, at: str, billed: Piece):
        pages.send(at + "payment/", {"method": "check"})
        pages.get(at)  # it offers to undo, once
        typed = pages.get(at + "payment/").form().typed
        assert (typed["method"], typed["amount"]) == ("check", "550.00"), "what is left of the price"


class TestRemind:
    def test_a_late_invoice_is_reminded_of_with_the_words_of_the_maker(
        self, pages: Pages, work: Work, at: str, piece: Piece
    ):
        a_price(work.call(), piece.commission)
        change_client(work.call(), client=piece.commission.client_id, email="orla@fenwick.example")
        work.now -= timedelta(days=20)
        paper = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
        page = pages.get(f"/papers/{paper.number}/remind/")
        assert "Open 1,100.00 USD" in page.words and "days ago" in page.words
        proposed = page.form().typed["words"]
        assert "have not reached us yet" in proposed
        pages.send(f"/papers/{paper.number}/remind/", {"words": "Did our invoice arrive?"})
        assert paper.sendings.get().is_reminder
        assert pages.get(f"/papers/{paper.number}/send/").form()


class TestPapers:
    @pytest.fixture
    def wrapped(self, work: Work, piece: Piece) -> Piece:
        work.do(piece, "survey", "stock")
        return piece

    def test_issuing_the_checklist(self, pages: Pages, wrapped: Piece, at: str):
        pages.send(at + "checklist/")
        paper = Paper.objects.get()
        page = pages.get(f"{at}money/")
        assert paper.number in page.words and "being prepared" in page.words
        assert f'hx-get="/papers/{paper.number}/row/"' in page.text, "it asks until the file is there"
        assert "Issue the delivery checklist" not in page.words

    def test_a_second_checklist_is_refused(self, pages: Pages, wrapped: Piece, at: str):
        pages.send(at + "checklist/")
        assert "is issued" in pages.send(at + "checklist/", status=409).words

    def test_issuing_the_invoice(self, pages: Pages, work: Work, wrapped: Piece, at: str):
        page = pages.get(at + "invoice/")
        assert "There is no price yet." in page.words and "form_key" not in page.text
        a_price(work.call(), wrapped.commission)
        page = pages.send(at + "invoice/", {"due_on": "2001-01-01"}, status=422)
        assert "due before" in page.errors["due_on"].lower()
        page = pages.send(at + "invoice/", {"due_on": "2999-01-01"}, status=422)
        assert "no mail address is known" in page.errors["to"].lower() and not Paper.objects.exists()
        by_hand(pages, at + "invoice/", {"due_on": "2999-01-01"})
        assert "1,100.00 USD due by" in pages.get(f"{at}money/").words
        number = Paper.objects.get().number
        assert "needs a reason" in pages.send(f"/papers/{number}/credit/", status=422).errors["reason"]
        pages.send(f"/papers/{number}/credit/", {"reason": "a free coat"})
        words = pages.get(f"{at}money/").words
        assert f"credits {number} with 1,100.00 USD" in words and "credited" in words
        assert "Issue the invoice" in words, "another may follow"

    def test_a_cancelled_commission_gets_no_paper(self, pages: Pages, wrapped: Piece, at: str):
        pages.send(at + "move/cancelled/", {"reason": "house sold"})
        assert "is cancelled" in pages.send(at + "checklist/", status=409).words
        assert "Issue" not in pages.get(f"{at}money/").words

    def test_withdrawing_needs_a_reason(self, pages: Pages, wrapped: Piece, at: str):
        pages.send(at + "checklist/")
        number = Paper.objects.get().number
        assert "needs a reason" in pages.send(f"/papers/{number}/withdraw/", status=422).errors["reason"]
        pages.send(f"/papers/{number}/withdraw/", {"reason": "wrong van"})
        assert "withdrawn" in pages.get(f"{at}money/").words

    def test_until_there_is_a_file_its_page_asks_again(self, pages: Pages, work: Work, wrapped: Piece):
        number = the_paper(issue_checklist(work.call(), commission=wrapped.commission.number)).number
        page = pages.get(f"/papers/{number}/pdf/", 503)
        assert page.answer["Retry-After"] and "being prepared" in page.words

    def test_why_there_is_no_file_is_told(self, pages: Pages, work: Work, wrapped: Piece, at: str):
        number = the_paper(issue_checklist(work.call(), commission=wrapped.commission.number)).number
        OutboxMessage.objects.filter(kind=RENDER, subject=number).update(error="install libpango")
        for page in (
            pages.get(f"{at}money/"),
            pages.get(f"/papers/{number}/row/"),
            pages.get(f"/papers/{number}/pdf/", 503),
        ):
            assert "The last try failed: install libpango" in page.words

    def test_the_file_is_served_as_it_is(self, pages: Pages, work: Work, wrapped: Piece):
        number = the_paper(issue_checklist(work.call(), commission=wrapped.commission.number)).number
        content = b"%PDF-1.7 as it was rendered"
        sha256 = blobs.store(content)
        record_rendering(work.call(), paper=number, sha256=sha256, size_bytes=len(content))
        answer = pages.http.get(f"/papers/{number}/pdf/")
        assert (answer.content, answer["Content-Type"], answer["ETag"]) == (
            content,
            "application/pdf",
            f'"{sha256}"',
        )
        again = pages.http.get(f"/papers/{number}/pdf/", headers={"If-None-Match": f'"{sha256}"'})
        assert again.status_code == 304
        anything = pages.http.get(f"/papers/{number}/pdf/", headers={"If-None-Match": "*"})
        assert anything.status_code == 304
        assert "Content-Security-Policy" not in answer and "Content-Security-Policy" in pages.get("/").answer
        row = pages.get(f"/papers/{number}/row/")
        assert f"PDF {number}" in row.words and "hx-get" not in row.text

    def test_what_a_person_may_not_see_is_not_said_to_be_unchanged(
        self, pages: Pages, maker_pages: Pages, work: Work, wrapped: Piece
    ):
        a_price(work.call(), wrapped.commission)
        number = the_paper(issue_invoice(work.call(), commission=wrapped.commission.number)).number
        at, whatever = f"/papers/{number}/pdf/", {"If-None-Match": "*"}
        assert pages.http.get(at, headers=whatever).status_code == 503, "there is no file yet"
        content = b"%PDF-1.7 as it was rendered"
        sha256 = blobs.store(content)
        record_rendering(work.call(), paper=number, sha256=sha256, size_bytes=len(content))
        assert pages.http.get(at, headers=whatever).status_code == 304
        assert maker_pages.http.get(at, headers=whatever).status_code == 403
        assert Pages().http.get(at, headers=whatever).status_code == 302
        assert pages.http.get("/papers/I2026-9999/pdf/", headers=whatever).status_code == 404

    def test_drafts_take_no_number(self, pages: Pages, work: Work, wrapped: Piece, at: str):
        before = head()
        answer = pages.http.get(at + "draft/delivery-checklist/")
        assert answer.status_code == 200 and answer.content.startswith(b"%PDF") and head() == before
        assert "no such paper to draft" in pages.get(at + "draft/quote/", 422).words.lower()


def test_paid_stage_leads_to_invoice_and_payment(pages: Pages, work: Work, piece: Piece, at: str):
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    work.do(piece, "deliver")
    work.now = max(work.now, timezone.now())
    work.start(piece, "paid")
    assert 'class="go next" href="' + at + "invoice/" in pages.get(at).text
    a_price(work.call(), piece.commission)
    paper = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
    assert f'class="go next" href="/papers/{paper.number}/send/' in pages.get(at).text
    by_hand(pages, f"/papers/{paper.number}/send/")
    assert 'class="go next" href="' + at + "payment/" in pages.get(at).text
    pages.send(at + "payment/", {"amount": "1100"})
    assert Commission.objects.get().step == "closed", "the last payment closes it"


class TestWhatIsOver:
    """What was delivered, ended or paid is no longer shown as due or promised."""

    def test_a_paid_invoice_says_so_and_one_paid_in_part_what_is_open(
        self, pages: Pages, work: Work, at: str, piece: Piece
    ):
        a_price(work.call(), piece.commission)
        paper = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
        assert "1,100.00 USD due by" in pages.get(f"{at}money/").words
        record_payment(work.call(), commission=piece.commission.number, amount=Decimal(1000))
        assert "100.00 USD due by" in pages.get(f"{at}money/").words
        record_payment(work.call(), commission=piece.commission.number, amount=Decimal(100))
        words = pages.get(f"{at}money/").words
        assert "1,100.00 USD, paid" in words and "due by" not in words
        assert paper.number not in pages.get("/receivables/").words

    @pytest.mark.parametrize("to", ["delivered", "closed", "cancelled"])
    def test_a_promise_that_is_over_is_not_said_to_lie_ahead(
        self, pages: Pages, work: Work, at: str, piece: Piece, to: str
    ):
        number, day = piece.commission.number, timezone.localdate() + timedelta(days=89)
        change_commission(work.call(), commission=number, promise_on=day)
        assert "days in hand" in pages.get(at).words
        assert "promised" in pages.get("/commissions/").words
        Commission.objects.filter(number=number).update(step=to)
        words = pages.get(at).words
        assert "Was promised for" in words and "in 89 days" not in words and "in hand" not in words
        assert "promised " not in pages.get("/commissions/?show=all").words


def test_a_closed_order_says_so_and_is_opened_again(pages: Pages, work: Work, piece: Piece, at: str):
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    issue_invoice(work.call(), commission=piece.commission.number)
    pages.send(at + "payment/")
    work.do(piece, "deliver")
    page = pages.get(at)
    assert "Delivered, paid and closed." in page.words and "Reopen this commission" in page.words
    assert "needs a reason" in pages.send(at + "reopen/", status=422).errors["reason"]
    pages.send(at + "reopen/", {"reason": "a leg is loose"})
    page = pages.get(at)
    assert "Reopen this commission" not in page.words and "It is open again." in page.words

    def test_crediting_a_sum_or_some_of_a_line(self, pages: Pages, work: Work, wrapped: Piece, at: str):
        a_price(work.call(), wrapped.commission)
        number = the_paper(issue_invoice(work.call(), commission=wrapped.commission.number)).number
        there = f"/papers/{number}/credit/"
        page = pages.get(there)
        assert "Top as drawn" in page.words and "of 1" in page.words
        page = pages.send(there, {"reason": "a scratch", "lines/1": "2"}, status=422)
        assert "not so many are left" in page.errors["lines/1"].lower()
        page = pages.send(there, {"reason": "a scratch", "amount": "2,000"}, status=422)
        assert "0.01 to 1100.00 USD" in page.errors["amount"]
        pages.send(there, {"reason": "a scratch", "amount": "100.00"})
        words = pages.get(f"{at}money/").words
        assert f"credits {number} with 100.00 USD" in words
        assert "100.00 USD credited" in words and "1,000.00 USD due by" in words
        pages.send(there, {"reason": "a scratch", "lines/1": "0.5"})
        assert "450.00 USD due by" in pages.get(f"{at}money/").words
