"""Papers: numbers without gaps, what they freeze, what depends on them."""

import json
import threading
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection

from jobs.core.errors import (
    AlreadyDone,
    Forbidden,
    GateShut,
    Invalid,
    NotFound,
    NotYet,
    RestsOnPaper,
    WrongState,
)
from jobs.domain.billing.balances import account
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.clients.commands import change_client
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.commissions.piece_commands import remove_piece
from jobs.domain.papers.issuing import record_rendering, withdraw_paper
from jobs.domain.stages.commands import reopen_stage
from jobs.domain.stages.rework import redo_stage
from jobs.domain.workshop.commands import set_shop
from jobs.log import private_texts
from jobs.log.commands import verify_log
from jobs.log.rebuild import compare
from jobs.models import OutboxMessage, Paper, PrivateText
from tests.shop_fixtures import (
    SHORT,
    Work,
    a_call,
    a_maker,
    a_price,
    an_owner,
    issue_checklist,
    quick_sheets,
    the_paper,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(work):
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    return piece


def checklist(work, piece):
    return the_paper(issue_checklist(work.call(), commission=piece.commission.number))


def invoice(work, piece, **more):
    return the_paper(issue_invoice(work.call(), commission=piece.commission.number, **more))


def frozen(paper):
    return json.loads(private_texts.read(paper.frozen_ref))


class TestChecklist:
    def test_it_is_numbered_frozen_and_given_to_the_worker(self, work, ready):
        paper = checklist(work, ready)
        assert paper.number == "D2026-0001" and frozen(paper)["number"] == "D2026-0001"
        assert frozen(paper)["pieces"][0]["number"] == ready.number
        asked = OutboxMessage.objects.exclude(kind="follow the shop")
        assert [(e.kind, e.subject) for e in asked] == [("render paper", "D2026-0001")]

    def test_later_changes_do_not_reach_it(self, work, ready):
        paper = checklist(work, ready)
        before = frozen(paper)
        change_client(work.call(), client=ready.commission.client_id, name="Somebody Else")
        set_shop(work.call(), name="New name")
        assert frozen(Paper.objects.get()) == before

    def test_one_at_a_time_and_withdrawn_ones_keep_their_number(self, work, ready):
        first = checklist(work, ready)
        with pytest.raises(AlreadyDone, match="D2026-0001 is issued"):
            checklist(work, ready)
        withdraw_paper(work.call(), paper=first.number, reason="wrong van")
        assert checklist(work, ready).number == "D2026-0002"
        assert Paper.objects.filter(withdrawn_at=None).count() == 1

    def test_it_needs_work_and_pieces(self, work):
        piece = work.accepted(**SHORT)
        with pytest.raises(WrongState, match="is accepted"):
            checklist(work, piece)
        work.do(piece, "survey", "glue-up")
        redo_stage(work.call(), piece=piece.number, stage="survey", reason="another drawing")
        remove_piece(work.call(), piece=piece.number)
        with pytest.raises(NotYet, match="nothing to deliver"):
            checklist(work, piece)

    def test_delivery_asks_for_it(self, work, ready):
        with pytest.raises(GateShut, match="no delivery checklist yet"):
            work.start(ready, "deliver")
        paper = checklist(work, ready)
        withdraw_paper(work.call(), paper=paper.number, reason="wrong van")
        with pytest.raises(GateShut):
            work.start(ready, "deliver")
        checklist(work, ready)
        work.start(ready, "deliver")

    def test_what_it_rests_on_is_not_reopened(self, work, ready):
        paper = checklist(work, ready)
        with pytest.raises(RestsOnPaper, match="D2026-0001 rests on Wrapped") as refused:
            reopen_stage(work.call(), piece=ready.number, stage="wrap", reason="a scratch")
        assert refused.value.extra["papers"] == ["D2026-0001"]
        withdraw_paper(work.call(), paper=paper.number, reason="a scratch")
        reopen_stage(work.call(), piece=ready.number, stage="wrap", reason="a scratch")

    def test_none_for_a_cancelled_commission(self, work):
        piece = work.accepted(**SHORT)
        move_commission(work.call(), commission=piece.commission.number, to="cancelled", reason="house sold")
        for issue in (checklist, invoice):
            with pytest.raises(WrongState, match="is cancelled"):
                issue(work, piece)

    def test_withdrawing_needs_a_reason_and_happens_once(self, work, ready):
        paper = checklist(work, ready)
        with pytest.raises(Invalid, match="reason"):
            withdraw_paper(work.call(), paper=paper.number, reason=" ")
        withdraw_paper(work.call(), paper=paper.number, reason="wrong van")
        with pytest.raises(AlreadyDone):
            withdraw_paper(work.call(), paper=paper.number, reason="wrong van")
        with pytest.raises(NotFound):
            withdraw_paper(work.call(), paper="D2026-0099", reason="wrong van")


class TestInvoice:
    def test_sums_and_what_was_received(self, work, ready):
        record_payment(work.call(), commission=ready.commission.number, amount=Decimal("400.40"))
        sums = invoice(work, ready).invoice
        # 1000.00 and 10 % tax; 1100.00 less 400.40.
        assert (sums.net, sums.tax, sums.total) == (Decimal(1000), Decimal(100), Decimal(1100))
        assert (sums.paid_before, sums.due) == (Decimal("400.40"), Decimal("699.60"))

    def test_it_is_due_after_the_days_of_the_shop(self, work, ready):
        set_shop(work.call(), settings={"invoice_due_days": "30"})
        assert invoice(work, ready).invoice.due_on == date(2026, 4, 1)  # 2 March and 30 days

    def test_it_is_not_due_before_it_is_issued(self, work, ready):
        with pytest.raises(Invalid) as refused:
            invoice(work, ready, due_on=date(2026, 3, 1))
        assert refused.value.field == "due_on"

    def test_its_words_are_held_for_years(self, work, ready):
        text = PrivateText.objects.get(id=invoice(work, ready).frozen_ref)
        assert text.hold_until == date(2036, 12, 31)
        assert PrivateText.objects.get(id=checklist(work, ready).frozen_ref).hold_until is None

    def test_one_for_the_price_and_it_cannot_be_withdrawn(self, work, ready):
        paper = invoice(work, ready)
        with pytest.raises(AlreadyDone, match="I2026-0001 is issued"):
            invoice(work, ready)
        with pytest.raises(WrongState, match="cannot be withdrawn"):
            withdraw_paper(work.call(), paper=paper.number, reason="typo")

    def test_a_credit_note_takes_it_back_and_another_may_follow(self, work, ready):
        number = ready.commission.number
        record_payment(work.call(), commission=number, amount=Decimal("400.40"))
        first = invoice(work, ready)
        note = the_paper(credit_invoice(work.call(), paper=first.number, reason="the second coat was free"))
        assert (note.number, note.kind, note.credits) == ("C2026-0001", "credit-note", "I2026-0001")
        assert (note.invoice.total, note.invoice.net) == (Decimal(1100), Decimal(1000))
        assert frozen(note)["credits"] == "I2026-0001" and "second coat" in frozen(note)["reason"]
        assert PrivateText.objects.get(id=note.frozen_ref).hold_until == date(2036, 12, 31)
        assert (account(ready.commission).asked_in_all, account(ready.commission).paid) == (
            0, Decimal("400.40"),
        )  # fmt: skip
        a_price(work.call(), ready.commission)
        second = invoice(work, ready)
        assert (second.number, second.invoice.paid_before) == ("I2026-0002", Decimal("400.40"))
        assert account(ready.commission).owed == Decimal("699.60")
        with pytest.raises(AlreadyDone, match="credited by C2026-0001"):
            credit_invoice(work.call(), paper=first.number, reason="again")
        assert compare() == []

    def test_only_an_invoice_is_credited_by_the_owner_with_a_reason(self, work, ready):
        first, other = invoice(work, ready), checklist(work, ready)
        with pytest.raises(Invalid, match="reason"):
            credit_invoice(work.call(), paper=first.number, reason=" ")
        with pytest.raises(WrongState, match="no invoice"):
            credit_invoice(work.call(), paper=other.number, reason="typo")
        with pytest.raises(Forbidden):
            credit_invoice(a_call(a_maker(), work.now), paper=first.number, reason="typo")

    def test_without_a_price_there_is_none(self, work):
        with pytest.raises(NotYet, match="has no price"):
            invoice(work, work.accepted(**SHORT))

    def test_an_invoiced_commission_is_not_cancelled(self, work, ready):
        invoice(work, ready)
        with pytest.raises(RestsOnPaper):
            move_commission(work.call(), commission=ready.commission.number, to="cancelled", reason="sold")

    def test_paid_up_means_invoiced_and_nothing_owed(self, work, ready):
        checklist(work, ready)
        work.do(ready, "deliver")
        work.start(ready, "paid")
        with pytest.raises(GateShut, match="no invoice yet"):
            work.finish(ready, "paid")
        paper = invoice(work, ready)
        record_payment(work.call(), commission=ready.commission.number, amount=paper.invoice.due - 1)
        with pytest.raises(GateShut, match="1.00 owed"):
            work.finish(ready, "paid")
        record_payment(work.call(), commission=ready.commission.number, amount=Decimal(1))
        assert ready.stages.get(key="paid").step == "done", "it ends by itself"


def test_the_file_is_recorded_once(work, ready):
    paper = checklist(work, ready)
    record_rendering(work.call(), paper=paper.number, sha256="a" * 64, size_bytes=9)
    with pytest.raises(AlreadyDone):
        record_rendering(work.call(), paper=paper.number, sha256="b" * 64, size_bytes=9)
    assert Paper.objects.get().file_sha256 == "a" * 64


@pytest.mark.both_databases
@pytest.mark.django_db(transaction=True)
def test_numbers_have_no_gap_when_many_issue_at_once(settings):
    work = Work(an_owner())
    quick_sheets(work.call())
    commissions = []
    for _ in range(8):
        piece = work.accepted(route="free-list", label="Stool", stages=["Legs"])
        work.do(piece, "survey", "own-1")
        commissions.append(piece.commission.number)
    calls = [work.call() for _ in commissions]
    failures = []

    def issue(call, number):
        try:
            issue_checklist(call, commission=number)
        except Exception as failure:
            failures.append(failure)
        finally:
            connection.close()

    threads = [threading.Thread(target=issue, args=a) for a in zip(calls, commissions, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert sorted(Paper.objects.values_list("number", flat=True)) == [f"D2026-{n:04d}" for n in range(1, 9)]
    verify_log()


def test_the_date_of_supply_is_the_day_of_delivery_and_lies_never_ahead(work, ready):
    with pytest.raises(Invalid) as refused:
        invoice(work, ready, supplied_on=work.now.date() + timedelta(days=1))
    assert refused.value.field == "supplied_on"
    checklist(work, ready)
    work.do_until(ready, "deliver")
    delivered = work.now.date()
    work.go(days=3)
    assert frozen(invoice(work, ready))["supplied_on"] == delivered.isoformat()
