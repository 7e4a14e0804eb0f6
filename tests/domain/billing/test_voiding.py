"""A mistyped payment is voided: it stays on record and counts nowhere. Each sum is worked out by hand."""

import json
from decimal import Decimal as D

import pytest
from django.utils.html import strip_tags

from jobs.core.errors import AlreadyDone, Forbidden, Invalid, RestsOnPaper, Stale, WrongState
from jobs.documents.account import receipt_html
from jobs.domain.billing.balances import account
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment, record_repayment
from jobs.domain.billing.queries import receivables
from jobs.domain.billing.statements import issue_receipt, statement_content
from jobs.domain.billing.voiding import correct_payment, void_payment
from jobs.domain.books.bookkeeping import books_csv
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.papers import paper_view
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Paper, Payment, Piece, ReminderDue
from tests.shop_fixtures import SHORT, Work, a_maker, a_price, issue_checklist, stage_of, the_paper

pytestmark = pytest.mark.django_db


@pytest.fixture
def commission(work: Work) -> Commission:
    """Return an order with an invoice of 1100.00."""
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    issue_invoice(work.call(), commission=piece.commission.number)
    return piece.commission


def pay(work: Work, commission: Commission, amount: str, **more) -> Payment:
    record_payment(work.call(), commission=commission.number, amount=D(amount), **more)
    return Payment.objects.latest("id")


def money(work: Work, commission: Commission) -> dict:
    found = Commission.objects.get(number=commission.number)
    shown = commission_view(found, now=work.now, with_money=True)["money"]
    return {**shown["summary"], "payments": shown["payments"]}


def test_every_sum_is_as_if_it_had_never_come(work: Work, commission: Commission):
    wrong = pay(work, commission, "801.00")
    right = pay(work, commission, "108.00")
    void_payment(work.call(), payment=wrong.id, reason="digits turned round")
    shown = money(work, commission)
    assert (shown["paid"], shown["open"]) == (D("108.00"), D("992.00"))
    voided, kept = shown["payments"]
    assert (voided["voided_by"], voided["void_reason"]) == (work.by.id, "digits turned round")
    assert voided["voided_at"] and (voided["pays"], kept["voided_at"]) == ([], None)
    assert kept["pays"] == [{"paper": "I2026-0001", "amount": D("108.00")}]
    assert account(commission).payments == [right]
    assert receivables(today=work.now.date())["invoices"][0]["open"] == D("992.00")
    (statement,) = statement_content(commission.client, today=work.now.date())["accounts"]
    assert [move["amount"] for move in statement["moves"]] == [D("1100.00"), D("-108.00")]
    assert statement["moves"][-1]["owed"] == D("992.00")
    assert b"801.00" not in books_csv("2026") and b"108.00" in books_csv("2026")
    assert compare() == []


def test_a_paid_invoice_is_open_again_and_its_reminder_with_it(work: Work, commission: Commission):
    subject = "invoice:I2026-0001"
    assert ReminderDue.objects.filter(subject=subject).exists()
    paid = pay(work, commission, "1100.00")
    assert not ReminderDue.objects.filter(subject=subject).exists()
    void_payment(work.call(), payment=paid.id)
    assert money(work, commission)["open"] == D("1100.00")
    assert ReminderDue.objects.filter(subject=subject).exists()


def test_the_same_sum_may_be_recorded_again(work: Work, commission: Commission):
    void_payment(work.call(), payment=pay(work, commission, "500.00").id)
    pay(work, commission, "500.00")  # not refused as the same payment twice
    assert money(work, commission)["paid"] == D("500.00")


def test_its_receipt_is_void_and_none_is_issued_for_it(work: Work, commission: Commission):
    paid, other = pay(work, commission, "100.00"), pay(work, commission, "50.00")
    receipt = the_paper(issue_receipt(work.call(), payment=paid.id))
    void_payment(work.call(), payment=paid.id)
    void_payment(work.call(), payment=other.id)
    found = Paper.objects.select_related("commission").get(number=receipt.number)
    assert paper_view(found, with_money=True, today=work.now.date())["standing"] == "void"
    for payment in (paid, other):
        with pytest.raises(WrongState, match="this payment is void"):
            issue_receipt(work.call(), payment=payment.id)
    assert compare() == []


class TestRefused:
    def test_for_a_reason_longer_than_a_thousand_characters(self, work: Work, commission: Commission):
        paid = pay(work, commission, "100.00")
        with pytest.raises(Invalid) as refused:
            void_payment(work.call(), payment=paid.id, reason="x" * 1001)
        assert refused.value.field == "reason" and not Payment.objects.exclude(voided_at=None).exists()
        void_payment(work.call(), payment=paid.id, reason="x" * 1000)
        assert money(work, commission)["payments"][0]["void_reason"] == "x" * 1000

    def test_to_a_maker_and_a_second_time(self, work: Work, commission: Commission):
        paid = pay(work, commission, "100.00")
        with pytest.raises(Forbidden):
            void_payment(Work(by=a_maker(), now=work.now).call(), payment=paid.id)
        void_payment(work.call(), payment=paid.id)
        before = Event.objects.count()
        with pytest.raises(AlreadyDone, match="voided by .+ at 2026-03-02"):
            void_payment(work.call(), payment=paid.id)
        assert Event.objects.count() == before

    def test_where_it_was_given_back(self, work: Work, commission: Commission):
        paid = pay(work, commission, "1200.00", more_than_owed=True)
        pay(work, commission, "0.50", more_than_owed=True)  # stays, and is not what was given back
        record_repayment(work.call(), commission=commission.number, amount=D(100), reason="too much")
        with pytest.raises(WrongState, match=r"^100\.00 USD on 2026-03-02 was given back") as refused:
            void_payment(work.call(), payment=paid.id)
        back = Payment.objects.get(amount=-100)
        assert refused.value.extra == {"payments": [back.id]}
        void_payment(work.call(), payment=back.id)
        void_payment(work.call(), payment=paid.id)
        assert money(work, commission)["paid"] == D("0.50")

    def test_where_an_invoice_says_that_it_was_received(self, work: Work):
        piece = work.accepted(**SHORT)
        a_price(work.call(), piece.commission)
        issue_deposit(work.call(), commission=piece.commission.number, pct=D(50))
        paid = pay(work, piece.commission, "550.00", what="deposit")
        issue_invoice(work.call(), commission=piece.commission.number)
        with pytest.raises(RestsOnPaper, match="invoice I2026-0002 was issued with this payment") as refused:
            void_payment(work.call(), payment=paid.id)
        assert refused.value.extra == {"papers": ["I2026-0002"]}
        credit_invoice(work.call(), paper="I2026-0002", reason="the deposit was mistyped")
        void_payment(work.call(), payment=paid.id)
        assert money(work, piece.commission)["open"] == D("550.00")


@pytest.fixture
def delivered(work: Work) -> Piece:
    """Return a delivered piece with an invoice of 1100.00; its stage "paid" asks that nothing is owed."""
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    work.do(piece, "deliver")
    issue_invoice(work.call(), commission=piece.commission.number)
    return piece


def ends(piece: Piece) -> tuple[str, str, str]:
    """Return how the stages "paid" and "close" stand, and the commission."""
    commission = Commission.objects.get(pieces=piece)
    return stage_of(piece, "paid").step, stage_of(piece, "close").step, commission.step


class TestAFinishedStageThatSaysThatAllIsPaid:
    def test_rests_on_every_cent_of_it(self, work: Work, delivered: Piece):
        paid = [pay(work, delivered.commission, amount) for amount in ("1099.99", "0.01")]
        for payment in reversed(paid):
            assert ends(delivered) == ("done", "done", "closed")
            void_payment(work.call(), payment=payment.id, reason="mistyped")
            assert ends(delivered) == ("planned", "planned", "delivered"), "the order is open again"
            pay(work, delivered.commission, str(payment.amount))
        void_payment(work.call(), payment=Payment.objects.latest("id").id)
        assert money(work, delivered.commission)["open"] == D("1099.99")
        assert compare() == []

    def test_does_not_rest_on_what_came_beyond_the_price(self, work: Work, delivered: Piece):
        pay(work, delivered.commission, "1100.00")
        beyond = pay(work, delivered.commission, "0.01", more_than_owed=True)
        void_payment(work.call(), payment=beyond.id)
        assert money(work, delivered.commission)["open"] == 0
        assert ends(delivered) == ("done", "done", "closed")

    def test_rests_on_nothing_where_a_reason_let_it_pass(self, work: Work, delivered: Piece):
        paid = pay(work, delivered.commission, "600.00")
        work.start(delivered, "paid")
        work.finish(delivered, "paid", override={"paid_up": "the rest is forgiven"})
        void_payment(work.call(), payment=paid.id)
        assert money(work, delivered.commission)["open"] == D("1100.00")


def test_money_is_not_recorded_or_given_back_by_who_has_not_seen_what_came_since(
    work: Work, commission: Commission
):
    seen = Commission.objects.get(number=commission.number).version
    paid = pay(work, commission, "1200.00", more_than_owed=True)
    asked = {"commission": commission.number, "amount": D("50.00")}
    with pytest.raises(Stale):
        record_payment(work.call(seen=seen), **asked, more_than_owed=True)
    with pytest.raises(Stale):
        record_repayment(work.call(seen=seen), **asked, reason="too much")
    with pytest.raises(Stale):
        void_payment(work.call(seen=seen), payment=paid.id)
    assert [(each.amount, each.voided_at) for each in Payment.objects.all()] == [(D("1200.00"), None)]


class TestCorrecting:
    def test_the_right_payment_takes_its_place_in_one_step(self, work: Work, commission: Commission):
        wrong = pay(work, commission, "810.00", method="check", note="no. 17", receipt=True)
        right_amount = {"amount": D("801.00"), "reason": "digits turned round"}
        done = correct_payment(work.call(), payment=wrong.id, **right_amount)
        assert [e.kind for e in done.events] == ["payment_voided", "payment_received"]
        right = Payment.objects.latest("id")
        assert (right.amount, right.method, right.received_on) == (D("801.00"), "check", wrong.received_on)
        shown = money(work, commission)
        assert (shown["paid"], shown["open"]) == (D("801.00"), D("299.00"))
        assert [p["void_reason"] for p in shown["payments"]] == ["digits turned round", ""]
        assert wrong.receipts.get().withdrawn_at and not right.receipts.exists()
        assert compare() == []

    def test_a_new_receipt_goes_with_it(self, work: Work, commission: Commission):
        wrong = pay(work, commission, "810.00", receipt=True)
        correct_payment(work.call(), payment=wrong.id, method="cash", receipt=True)
        right = Payment.objects.latest("id")
        assert (right.amount, right.method, right.receipts.get().number) == (
            D("810.00"),
            "cash",
            "R2026-0002",
        )
        text = " ".join(strip_tags(receipt_html(json.loads(read(right.receipts.get().frozen_ref)))).split())
        assert "receipt R2026-0001, which no longer holds" in text

    def test_a_closed_order_stays_closed_where_all_is_still_paid(self, work: Work, delivered: Piece):
        paid = pay(work, delivered.commission, "1100.00")
        done = correct_payment(work.call(), payment=paid.id, method="transfer")
        assert [e.kind for e in done.events] == ["payment_voided", "payment_received"]
        assert ends(delivered) == ("done", "done", "closed")
        correct_payment(work.call(), payment=Payment.objects.latest("id").id, amount=D("1000.00"))
        assert ends(delivered) == ("planned", "planned", "delivered")
        assert compare() == []

    def test_money_given_back_is_voided_instead(self, work: Work, commission: Commission):
        pay(work, commission, "1150.00", more_than_owed=True)
        record_repayment(work.call(), commission=commission.number, amount=D(50), reason="too much")
        with pytest.raises(WrongState, match="voided and recorded again"):
            correct_payment(work.call(), payment=Payment.objects.latest("id").id, amount=D(40))

    def test_a_way_to_pay_that_nobody_has_is_refused(self, work: Work, commission: Commission):
        with pytest.raises(Invalid, match="no such way to pay") as refused:
            pay(work, commission, "5.00", method="gold")
        assert refused.value.allowed == "cash, check, transfer, card, other"
