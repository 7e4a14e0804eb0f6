"""The deposit of an accepted quote: it and the final invoice add up to the price."""

from decimal import Decimal

import pytest

from calcs.money.invoice import Amount, Invoice, invoice_sums
from jobs.core.errors import Invalid, RestsOnPaper
from jobs.domain.billing.balances import account
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.commissions.piece_commands import change_piece
from jobs.models import Paper, Piece
from tests.domain.quoting.offers import a_line, accept, issued
from tests.shop_fixtures import INCHES, Work, the_paper

pytestmark = [pytest.mark.django_db, pytest.mark.takes(3)]


@pytest.mark.parametrize("net", ["1000", "999.99", "0.03", "1234.57"])
@pytest.mark.parametrize("rate", ["0", "7", "19", "8.875"])
def test_deposit_and_final_invoice_add_up_to_the_price(work: Work, piece: Piece, net: str, rate: str):
    accept(work, issued(work, piece, lines=[a_line(net, tax_pct=Decimal(rate))]))
    number = piece.commission.number
    deposit = Paper.objects.get(what="deposit").invoice
    record_payment(work.call(), commission=number, amount=deposit.total)
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    priced = Amount(net=Decimal(net), rate_pct=Decimal(rate))
    whole = invoice_sums(Invoice(lines=(priced,)))
    assert deposit.total + final.total == whole.gross
    assert deposit.tax + final.tax == whole.tax
    assert (final.paid_before, final.due) == (0, final.total)
    sums = account(piece.commission)
    assert (sums.asked_in_all, sums.owed) == (whole.gross, final.total)


def test_what_was_paid_beyond_the_deposit_comes_off_the_final_invoice(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number = piece.commission.number
    record_payment(work.call(), commission=number, amount=Decimal("695.00"))
    final = the_paper(issue_invoice(work.call(), commission=number)).invoice
    assert (final.total, final.paid_before, final.due) == (595, 100, 495)
    assert account(piece.commission).owed == 495


def test_a_deposit_invoice_is_credited_before_the_one_that_takes_it_off_only(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number = piece.commission.number
    deposit = Paper.objects.get(what="deposit")
    final = the_paper(issue_invoice(work.call(), commission=number))
    with pytest.raises(RestsOnPaper):
        credit_invoice(work.call(), paper=deposit.number, reason="wrong")
    credit_invoice(work.call(), paper=final.number, reason="wrong")
    credit_invoice(work.call(), paper=deposit.number, reason="wrong")
    assert the_paper(issue_invoice(work.call(), commission=number)).invoice.total == 1190


def test_deposits_do_not_come_to_more_than_the_price(work: Work, piece: Piece):
    accept(work, issued(work, piece, lines=[a_line("1000")]))
    number = piece.commission.number
    issue_deposit(work.call(), commission=number, pct=Decimal(30))
    with pytest.raises(Invalid):
        issue_deposit(work.call(), commission=number, pct=Decimal(30))
    assert the_paper(issue_invoice(work.call(), commission=number)).invoice.total == 238


def test_a_piece_can_still_be_changed_after_its_deposit_is_asked(work: Work, piece: Piece):
    accept(work, issued(work, piece))
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"label": "Desk top, oiled"})
    assert Piece.objects.get().revision == 2
