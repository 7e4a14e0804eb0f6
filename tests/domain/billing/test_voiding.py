"""A mistyped payment is voided: it stays on record and counts nowhere. Each sum is worked out by hand."""

from decimal import Decimal as D

import pytest

from jobs.core.errors import AlreadyDone, Forbidden, RestsOnPaper, WrongState
from jobs.domain.billing.balances import account
from jobs.domain.billing.invoice_commands import credit_invoice, issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment, record_repayment, void_payment
from jobs.domain.billing.queries import receivables, year_csv
from jobs.domain.billing.statements import issue_receipt, statement_content
from jobs.domain.commissions.papers import issue_checklist
from jobs.domain.overviews.commission import commission_view
from jobs.domain.overviews.papers import paper_view
from jobs.domain.stages.commands import reopen_stage
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Paper, Payment, ReminderDue
from tests.shop_fixtures import SHORT, Work, a_maker, a_price, the_paper

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
    return commission_view(found, now=work.now, with_money=True)["money"]


def test_every_sum_is_as_if_it_had_never_come(work: Work, commission: Commission):
    wrong = pay(work, commission, "801.00")
    right = pay(work, commission, "108.00")
    void_payment(work.call(), payment=wrong.id, reason="digits turned round")
    shown = money(work, commission)
    assert (shown["received"], shown["owed"]) == (D("108.00"), D("992.00"))
    voided, kept = shown["payments"]
    assert (voided["voided_by"], voided["void_reason"]) == (work.by.id, "digits turned round")
    assert voided["voided_at"] and (voided["pays"], kept["voided_at"]) == ([], None)
    assert kept["pays"] == [{"paper": "I2026-0001", "amount": D("108.00")}]
    assert account(commission).payments == [right]
    assert receivables(today=work.now.date())["invoices"][0]["open"] == D("992.00")
    (statement,) = statement_content(commission.client, today=work.now.date())["accounts"]
    assert [move["amount"] for move in statement["moves"]] == [D("1100.00"), D("-108.00")]
    assert statement["moves"][-1]["owed"] == D("992.00")
    assert b"801.00" not in year_csv(2026) and b"108.00" in year_csv(2026)
    assert compare() == []


def test_a_paid_invoice_is_open_again_and_its_reminder_with_it(work: Work, commission: Commission):
    subject = "invoice:I2026-0001"
    assert ReminderDue.objects.filter(subject=subject).exists()
    paid = pay(work, commission, "1100.00")
    assert not ReminderDue.objects.filter(subject=subject).exists()
    void_payment(work.call(), payment=paid.id)
    assert money(work, commission)["owed"] == D("1100.00")
    assert ReminderDue.objects.filter(subject=subject).exists()


def test_the_same_sum_may_be_recorded_again(work: Work, commission: Commission):
    void_payment(work.call(), payment=pay(work, commission, "500.00").id)
    pay(work, commission, "500.00")  # not refused as the same payment twice
    assert money(work, commission)["received"] == D("500.00")


def test_its_receipt_is_void_and_none_is_issued_for_it(work: Work, commission: Commission):
    paid, other = pay(work, commission, "100.00"), pay(work, commission, "50.00")
    receipt = the_paper(issue_receipt(work.call(), payment=paid.id))
    void_payment(work.call(), payment=paid.id)
    void_payment(work.call(), payment=other.id)
    found = Paper.objects.select_related("commission").get(number=receipt.number)
    assert paper_view(found, with_money=True)["standing"] == "void"
    for payment in (paid, other):
        with pytest.raises(WrongState, match="this payment is void"):
            issue_receipt(work.call(), payment=payment.id)
    assert compare() == []


class TestRefused:
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
        record_repayment(work.call(), commission=commission.number, amount=D(100), reason="too much")
        with pytest.raises(WrongState, match="100.00 USD on 2026-03-02 was given back") as refused:
            void_payment(work.call(), payment=paid.id)
        back = Payment.objects.get(amount=-100)
        assert refused.value.extra == {"payments": [back.id]}
        void_payment(work.call(), payment=back.id)
        void_payment(work.call(), payment=paid.id)
        assert money(work, commission)["received"] == 0

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
        assert money(work, piece.commission)["owed"] == D("550.00")

    def test_where_a_finished_stage_says_that_all_is_paid(self, work: Work):
        piece = work.accepted(**SHORT)
        number = piece.commission.number
        a_price(work.call(), piece.commission)
        last = next(
            s.key for s in piece.stages.all() if any(g.get("rule") == "paid-up" for g in s.spec["gates"])
        )
        issued = False
        for stage in piece.stages.order_by("position"):
            if any(g.get("rule") == "checklist-issued" for g in stage.spec["gates"]):
                issue_checklist(work.call(), commission=number)
                issued = True
            if stage.key == last:
                issue_invoice(work.call(), commission=number)
                paid = pay(work, piece.commission, "1100.00")
            if not stage.spec["passive"]:
                work.do(piece, stage.key)
            if stage.key == last:
                break
        assert issued
        with pytest.raises(WrongState, match="rests on this payment; reopen it first") as refused:
            void_payment(work.call(), payment=paid.id)
        assert refused.value.extra == {"stages": [last]}
        reopen_stage(work.call(), piece=piece.number, stage=last, reason="the payment was mistyped")
        void_payment(work.call(), payment=paid.id)
        assert money(work, piece.commission)["owed"] == D("1100.00")
        assert compare() == []
