"""The pages that give money back, issue receipts and statements, and hand out the bookkeeper's year."""

import csv
import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.models import Event, Paper, Payment, Piece
from jobs.web.billing import receivables
from tests.shop_fixtures import Work, a_price
from tests.web.pages import Pages, head


@pytest.fixture
def number(work: Work, piece: Piece) -> str:
    """Return a commission of which 1100.00 is billed and 1150.00 paid."""
    a_price(work.call(), piece.commission)
    number = str(piece.commission.number)
    issue_invoice(work.call(), commission=number)
    record_payment(work.call(), commission=number, amount=Decimal(1150), more_than_owed=True, note="by bank")
    return number


class TestRepay:
    def test_what_is_free_is_shown_and_given_back(self, pages: Pages, number: str):
        path = f"/commissions/{number}/repay/"
        page = pages.get(path)
        assert "Received, and needed by no invoice 50.00 USD" in page.words
        assert page.form().typed["received_on"] == timezone.localdate().isoformat()
        pages.send(path, {"amount": "20.50", "reason": "paid too much"})
        back = Payment.objects.latest("id")
        assert (back.amount, back.what, back.received_on) == (
            Decimal("-20.50"), "repayment", timezone.localdate(),
        )  # fmt: skip
        assert "What was given back is recorded." in pages.get(f"/commissions/{number}/").words
        assert "needed by no invoice 29.50 USD" in pages.get(path).words

    @pytest.mark.parametrize(
        "typed, field, says",
        [
            ({"amount": "50.01"}, "amount", "50.00 USD"),
            ({"amount": "-5"}, "amount", "negative"),
            ({"amount": "1,00"}, "amount", "such as"),
            ({"reason": ""}, "reason", ""),
            ({"received_on": "2999-01-01"}, "received_on", "future"),
        ],
    )
    def test_what_is_wrong_stands_at_its_field(
        self, pages: Pages, number: str, typed: dict[str, str], field: str, says: str
    ):
        before = head()
        given = {"amount": "5", "reason": "paid too much", **typed}
        page = pages.send(f"/commissions/{number}/repay/", given, status=422)
        assert says in page.errors[field] and page.form().typed["amount"] == given["amount"]
        assert head() == before and Payment.objects.count() == 1


class TestReceipt:
    def test_it_is_issued_once_by_its_page(self, pages: Pages, number: str):
        paid = Payment.objects.get()
        path = f"/payments/{paid.id}/receipt/"
        assert "1,150.00 USD" in pages.get(path).words and not paid.receipts.exists()
        form = pages.get(path).form()
        pages.send_form(path, form)
        receipt = paid.receipts.get()
        assert (receipt.kind, receipt.number[0]) == (Paper.RECEIPT, "R")
        assert f"Receipt {receipt.number} is issued." in pages.get(f"/commissions/{number}/").words
        pages.send_form(path, form, status=302)  # the same form again is the same receipt
        assert paid.receipts.count() == 1
        page = pages.get(path)
        assert receipt.number in page.words and "form_key" not in page.text and paid.receipts.count() == 1
        assert f"/papers/{receipt.number}/send/" in page.text

    def test_money_given_back_has_none(self, pages: Pages, number: str):
        pages.send(f"/commissions/{number}/repay/", {"amount": "50", "reason": "paid too much"})
        back = Payment.objects.latest("id")
        assert "given back" in pages.send(f"/payments/{back.id}/receipt/", status=409).words
        assert not Paper.objects.filter(kind=Paper.RECEIPT).exists()

    def test_an_unknown_payment_is_not_found(self, pages: Pages, number: str):
        for page in ("receipt", "void"):
            pages.get(f"/payments/999999/{page}/", 404)


class TestStatement:
    def test_the_account_runs_and_a_statement_of_it_is_issued(self, pages: Pages, piece: Piece, number: str):
        path = f"/clients/{piece.commission.client_id}/account/"
        page = pages.get(path)
        assert "Received and needed by no invoice: 50.00 USD" in page.words
        first, second = page.words.split("Invoice I")[1].split("Payment ")[:2]
        assert "1,100.00 1,100.00" in first and "−1,150.00 −50.00" in second
        pages.send(path)
        statement = Paper.objects.get(kind=Paper.STATEMENT)
        assert statement.client_id == piece.commission.client_id
        words = pages.get(path).words
        assert f"Statement {statement.number} is issued." in words and "Statements issued" in words

    def test_only_the_newest_entries_are_shown_until_all_are_asked_for(
        self, pages: Pages, piece: Piece, number: str, monkeypatch: pytest.MonkeyPatch
    ):
        monkeypatch.setattr(receivables, "MOVES_SHOWN", 1)
        path = f"/clients/{piece.commission.client_id}/account/"
        page = pages.get(path)
        assert "1 earlier entry" in page.words and "1,150.00 −50.00" in page.words
        assert "Invoice I" not in page.words
        whole = pages.get(path + "?all").words
        assert "earlier entry" not in whole and "Invoice I" in whole

    def test_of_nothing_there_is_none_to_issue(self, pages: Pages, piece: Piece):
        page = pages.get(f"/clients/{piece.commission.client_id}/account/")
        assert "Nothing was billed or received yet." in page.words and "form_key" not in page.text


class TestOwed:
    def test_what_is_open_stands_by_age_and_links_to_both_years(
        self, pages: Pages, work: Work, piece: Piece, number: str
    ):
        today = timezone.localdate()
        assert "I" + str(today.year) not in pages.get("/receivables/").words, "all is paid"
        other = work.accepted()
        a_price(work.call(), other.commission)
        work.now -= timedelta(days=60)
        issue_invoice(work.call(), commission=other.commission.number, due_on=work.now.date())
        page = pages.get("/receivables/")
        late = (today - Paper.objects.latest("id").invoice.due_on).days
        assert 61 <= late <= 90 and "61 to 90 days" in page.words
        assert "1,100.00 USD" in page.words and "Orla Fenwick" in page.words
        books = pages.get("/books/")
        assert 'href="/books/"' in page.text
        for year in (today.year, today.year - 1):
            assert f'href="/books/{year}.csv"' in books.text

    def test_the_year_is_a_table_to_download(self, pages: Pages, number: str):
        year = timezone.localtime(Event.objects.get(kind="payment_received").occurred_at).year
        answer = pages.http.get(f"/books/{year}.csv")
        assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"
        assert answer.headers["Content-Disposition"] == f'attachment; filename="{year}.csv"'
        assert "no-store" in answer.headers["Cache-Control"]
        rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
        kinds = [(row["kind"], row["gross"], row["received"]) for row in rows]
        assert kinds == [("invoice", "1100.00", ""), ("payment", "", "1150.00")]
        assert pages.http.get("/books/3000.csv").status_code == 422

    def test_a_maker_sees_no_year(self, maker_pages: Pages, number: str):
        assert maker_pages.http.get("/books/2026.csv").status_code == 403
