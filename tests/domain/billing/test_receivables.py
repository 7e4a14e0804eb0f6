"""Money: allocated to invoices, repaid, receipts, statements, receivables by age, the bookkeeper's year."""

import csv
import io
import json
from datetime import date, timedelta
from decimal import Decimal as D

import pytest

from calcs.money.allocation import Bill, Money, age, allocate
from jobs.core.errors import AlreadyDone, Forbidden, Invalid, NotYet, Probably, WrongState
from jobs.core.upcasters import upcast
from jobs.domain.billing.balances import account
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import Share, record_payment, record_repayment
from jobs.domain.billing.queries import receivables
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.domain.books.bookkeeping import books_csv
from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.overviews.commission import commission_view
from jobs.log import private_texts
from jobs.log.rebuild import compare
from jobs.models import Payment, PrivateText
from tests.shop_fixtures import SHORT, a_call, a_client, a_commission, a_maker, a_price, the_paper

# Each sum below is worked out by hand.


def test_money_pays_the_oldest_first_and_what_was_named_before_that():
    bills = [Bill(number="1", total=D(100)), Bill(number="2", total=D(50))]
    assert allocate(bills, [Money(amount=D(30)), Money(amount=D(80))]).paid == {"1": D(100), "2": D(10)}
    named = allocate(bills, [Money(amount=D(30), named=(("2", D(20)),)), Money(amount=D(60))])
    assert named.paid == {"1": D(70), "2": D(20)}
    assert named.shares == ((("2", D(20)), ("1", D(10))), (("1", D(60)),))
    over = allocate(bills, [Money(amount=D(200)), Money(amount=D(-20))])
    assert (over.paid, over.left) == ({"1": D(100), "2": D(50)}, D(30))
    returned = allocate([Bill(number="1", total=D(100)), Bill(number="2", total=D(-40))], [])
    assert (returned.paid, returned.left) == ({"1": D(40), "2": D(0)}, D(0))
    gone = allocate(bills[1:], [Money(amount=D(60), named=(("1", D(60)),))])
    assert (gone.paid, gone.left) == ({"2": D(50)}, D(10)), "its invoice was credited"


def test_ages_are_those_of_every_list_of_open_invoices():
    ages = ["not due", "1 to 30", "1 to 30", "31 to 60", "61 to 90", "61 to 90", "over 90"]
    assert [age(days) for days in (0, 1, 30, 31, 61, 90, 91)] == ages


@pytest.fixture
def billed(work):
    """Return a commission and its invoice of 1100.00, due on 16 March."""
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    paper = the_paper(issue_invoice(work.call(), commission=piece.commission.number))
    return piece.commission, paper.number


def pay(work, commission, amount, **more):
    record_payment(work.call(), commission=commission.number, amount=D(amount), **more)
    return Payment.objects.latest("id")


def csv_rows(year):
    rows = csv.DictReader(io.StringIO(books_csv(str(year)).decode("utf-8-sig")))
    return {row["kind"]: row for row in rows}


@pytest.mark.django_db
class TestPayments:
    def test_part_payments_name_their_invoice_or_go_to_the_oldest(self, work, billed):
        commission, invoice = billed
        pay(work, commission, "400", allocated=[Share(paper=invoice, amount=D(300))])
        held = account(commission)
        assert held.open(held.invoices[0]) == D(700), "the rest went to it as the oldest"
        assert held.shares(held.payments[0]) == ((invoice, D(400)),)
        assert compare() == []

    def test_shares_that_cannot_be(self, work, billed):
        commission, invoice = billed
        for share, field in (
            (Share(paper="I2026-0099", amount=D(1)), "allocated/0/paper"),
            (Share(paper=invoice, amount=D("1100.01")), "allocated/0/amount"),
            (Share(paper=invoice, amount=D(-1)), "allocated/0/amount"),
            (Share(paper=invoice, amount=D(9)), "allocated"),
        ):
            with pytest.raises(Invalid) as refused:
                pay(work, commission, "2000" if field != "allocated" else "8", allocated=[share])
            assert refused.value.field == field
        assert not Payment.objects.exists()

    def test_one_invoice_is_named_once_in_a_payment(self, work, billed):
        commission, invoice = billed
        twice = [Share(paper=invoice, amount=D(40)), Share(paper=invoice, amount=D(40))]
        with pytest.raises(Invalid, match="named twice") as refused:
            pay(work, commission, "100", allocated=twice)
        assert (refused.value.field, refused.value.value) == ("allocated/1/paper", invoice)
        assert not Payment.objects.exists()
        pay(work, commission, "100", allocated=[Share(paper=invoice, amount=D(100))])

    def test_nothing_is_paid_or_given_back_on_an_enquiry_or_a_declined_one(self, work):
        commission = a_commission(work.call(), a_client(work.call()))
        for step in ("enquiry", "declined"):
            with pytest.raises(WrongState, match=f"is {step}") as refused:
                pay(work, commission, "30")
            assert refused.value.field == "commission"
            with pytest.raises(WrongState, match=f"is {step}"):
                record_repayment(work.call(), commission=commission.number, amount=D(1), reason="too much")
            if step == "enquiry":
                decline = {"to": "declined", "reason": "too far away"}
                move_commission(work.call(), commission=commission.number, **decline)
        assert not Payment.objects.exists()

    def test_the_first_amount_and_the_largest_are_taken_and_the_next_are_not(self, work, billed):
        commission, _ = billed
        for amount in ("0", "-0.01", "100000000.01", "0.001", "NaN", "Infinity"):
            with pytest.raises(Invalid) as refused:
                pay(work, commission, amount, more_than_owed=True)
            assert refused.value.field == "amount", amount
        for amount in ("0.01", "100000000"):
            assert pay(work, commission, amount, more_than_owed=True).amount == D(amount)

    def test_a_payment_of_today_is_taken_and_of_tomorrow_is_not(self, work, billed):
        commission, _ = billed
        today = work.now.date()
        with pytest.raises(Invalid, match="received in the future") as refused:
            pay(work, commission, "1", received_on=today + timedelta(days=1))
        assert refused.value.field == "received_on"
        assert pay(work, commission, "1", received_on=today).received_on == today

    def test_the_same_again_is_asked_about(self, work, billed):
        commission, _ = billed
        pay(work, commission, "100")
        with pytest.raises(Probably, match="was recorded already by .* at .* on 2026-03-02") as refused:
            pay(work, commission, "100")
        assert refused.value.field == "again"
        pay(work, commission, "100", again=True)
        assert account(commission).allocation.paid[billed[1]] == D(200)

    def test_more_than_is_owed_is_asked_about(self, work, billed):
        commission, _ = billed
        for amount, over, left in (("1100.01", "0.01", "1100.00"), ("50", "50.00", "0.00")):
            with pytest.raises(Probably, match=f"is {over} USD more than the {left} USD owed") as refused:
                pay(work, commission, amount)
            assert (refused.value.field, refused.value.extra) == ("more_than_owed", {"left": left})
            if left != "0.00":
                pay(work, commission, left)
        pay(work, commission, "50", more_than_owed=True)
        money = commission_view(commission, now=work.now, with_money=True)["money"]
        assert money["summary"]["in_favor"] == D(50)

    def test_a_price_may_be_paid_before_it_is_invoiced(self, work):
        piece = work.accepted(**SHORT)
        pay(work, piece.commission, "30")  # no price, no invoice: there is nothing to hold it against
        a_price(work.call(), piece.commission)
        with pytest.raises(Probably, match="more than the 1070.00 USD owed"):
            pay(work, piece.commission, "1070.01")
        pay(work, piece.commission, "1070")

    def test_below_nothing_is_a_repayment_and_nothing_is_no_payment(self, work, billed):
        for amount, says in (("-5", "given back as a repayment"), ("0", "an amount of nothing")):
            with pytest.raises(Invalid, match=says):
                pay(work, billed[0], amount)

    def test_it_is_a_deposit_or_a_payment(self, work, billed):
        with pytest.raises(Invalid) as refused:
            pay(work, billed[0], "5", what="repayment")
        assert (refused.value.field, refused.value.allowed) == ("what", "deposit, payment")

    def test_what_is_over_can_be_given_back_and_no_more(self, work, billed):
        commission, _ = billed
        pay(work, commission, "1150", more_than_owed=True)
        give = {"commission": commission.number, "reason": "paid too much"}
        with pytest.raises(Invalid, match="more than is free"):
            record_repayment(work.call(), amount=D("50.01"), **give)
        with pytest.raises(Invalid, match="needs a reason"):
            record_repayment(work.call(), amount=D(50), **{**give, "reason": " "})
        with pytest.raises(Forbidden):
            record_repayment(a_call(a_maker(), work.now), amount=D(50), **give)
        record_repayment(work.call(), amount=D(50), **give)
        assert Payment.objects.latest("id").amount == D(-50)
        held = account(commission)
        assert (held.allocation.left, held.open(held.invoices[0])) == (0, 0)
        assert compare() == []

    def test_money_of_a_credited_invoice_is_free(self, work, billed):
        commission, invoice = billed
        pay(work, commission, "600", allocated=[Share(paper=invoice, amount=D(600))])
        credit_invoice(work.call(), paper=invoice, reason="house sold")
        assert account(commission).allocation.left == D(600)
        with pytest.raises(NotYet, match="no invoice"):
            pay(work, commission, "1", allocated=[Share(paper=invoice, amount=D(1))])


def test_payments_and_clients_of_older_logs_open():
    assert upcast("payment_received", 1, {"amount": "5"}) == {
        "amount": "5", "allocated": [], "method": ""
    }  # fmt: skip
    assert upcast("client_added", 1, {"name": None})["country"] is None
    assert upcast("paper_issued", 1, {"paper": "I1"})["client"] is None


@pytest.mark.django_db
class TestPapers:
    def test_a_receipt_says_what_the_money_paid_once(self, work, billed):
        payment = pay(work, billed[0], "1150", more_than_owed=True, note="by transfer")
        paper = the_paper(issue_receipt(work.call(), payment=payment.id))
        said = json.loads(private_texts.read(paper.frozen_ref))
        assert paper.number == "R2026-0001" and said["shares"] == [{"paper": billed[1], "amount": "1100.00"}]
        assert (said["open"], said["free"], said["payment"]["note"]) == ("0.00", "50.00", "by transfer")
        with pytest.raises(AlreadyDone, match="R2026-0001"):
            issue_receipt(work.call(), payment=payment.id)
        record_repayment(work.call(), commission=billed[0].number, amount=D(50), reason="too much")
        with pytest.raises(WrongState, match="given back"):
            issue_receipt(work.call(), payment=Payment.objects.latest("id").id)

    def test_a_statement_runs_through_the_account(self, work, billed):
        commission, invoice = billed
        pay(work, commission, "400")
        credit_invoice(work.call(), paper=invoice, reason="a free coat")
        a_price(work.call(), commission)
        issue_invoice(work.call(), commission=commission.number)
        paper = the_paper(issue_statement(work.call(), client=commission.client_id))
        (said,) = json.loads(private_texts.read(paper.frozen_ref))["accounts"]
        assert paper.number == "S2026-0001" and paper.commission is None
        assert [move["owed"] for move in said["moves"]] == ["1100.00", "700.00", "-400.00", "700.00"]
        assert [(row["paper"], row["amount"]) for row in said["open"]] == [("I2026-0002", "700.00")]
        assert compare() == []

    def test_no_statement_of_nothing(self, work):
        piece = work.accepted(**SHORT)
        with pytest.raises(NotYet, match="nothing was billed"):
            issue_statement(work.call(), client=piece.commission.client_id)


@pytest.mark.django_db
class TestOwed:
    def test_open_invoices_by_age(self, work, billed):
        pay(work, billed[0], "100.10")
        view = receivables(today=date(2026, 3, 16) + timedelta(days=31))
        (row,) = view["invoices"]
        assert (row["open"], row["days_late"], row["age"]) == (D("999.90"), 31, "31 to 60")
        (usd,) = view["accounts"]
        assert usd["open"] == D("999.90") and usd["clients"][0]["open"] == D("999.90")
        assert {a["age"]: a["amount"] for a in usd["ages"]}["31 to 60"] == D("999.90")
        pay(work, billed[0], "999.90")
        assert receivables(today=date(2027, 1, 1))["accounts"] == []

    def test_the_year_opens_in_a_spreadsheet_and_runs_nothing(self, work, billed):
        commission, invoice = billed
        change_client(work.call(), client=commission.client_id, name='=HYPERLINK("http://x.example","Ö")')
        paid = pay(work, commission, "100")
        receipt = the_paper(issue_receipt(work.call(), payment=paid.id)).number
        row = csv_rows(2026)["payment"]
        assert (row["received"], row["number"], row["refers to"]) == ("100.00", receipt, invoice)
        credit_invoice(work.call(), paper=invoice, reason="typo")
        table = books_csv("2026")
        assert table.startswith(b"\xef\xbb\xbf")
        rows = list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"))))
        assert {row["client"] for row in rows} == {'\'=HYPERLINK("http://x.example","Ö")'}
        found = {row["kind"]: row for row in rows}
        assert (found["invoice"]["net"], found["invoice"]["tax"], found["invoice"]["gross"]) == (
            "1000.00", "100.00", "1100.00",
        )  # fmt: skip
        assert (found["credit note"]["gross"], found["credit note"]["refers to"]) == ("-1100.00", invoice)
        assert found["payment"]["received"] == "100.00"
        assert len(books_csv("2025").splitlines()) == 1
        with pytest.raises(Invalid):
            books_csv("99999")

    def test_a_name_kept_before_that_turns_the_direction_does_not_in_the_table(self, billed):
        PrivateText.objects.filter(id=billed[0].client.name_ref).update(text="Orla \u202eyalB")
        assert csv_rows(2026)["invoice"]["client"] == "Orla yalB"
