"""An order closes by itself once it is delivered, paid and done, and can be opened again."""

from decimal import Decimal as D

import pytest

from jobs.core.errors import Invalid, WrongState
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.waits.closing import reopen_commission
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Piece
from tests.shop_fixtures import SHORT, Work, a_piece, a_price, issue_checklist, stage_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def wrapped(work: Work) -> Piece:
    """Return a wrapped piece with its checklist; the price is 1100.00."""
    return wrap(work, work.accepted(**SHORT))


def wrap(work: Work, piece: Piece) -> Piece:
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    return piece


def step(piece: Piece) -> str:
    return Commission.objects.get(pieces=piece).step


def pay(work: Work, piece: Piece, amount: str) -> None:
    record_payment(work.call(), commission=piece.commission.number, amount=D(amount))


def test_the_last_payment_of_a_delivered_order_closes_it(work: Work, wrapped: Piece):
    number = wrapped.commission.number
    work.do(wrapped, "deliver")
    issue_invoice(work.call(), commission=number)
    pay(work, wrapped, "1000.00")
    assert step(wrapped) == "delivered"
    pay(work, wrapped, "100.00")
    assert step(wrapped) == "closed"
    told = [(e.kind, e.data.get("stage")) for e in Event.objects.order_by("seq").reverse()[:6]][::-1]
    assert told == [
        ("payment_received", None), ("stage_started", "paid"), ("stage_finished", "paid"),
        ("stage_started", "close"), ("stage_finished", "close"), ("commission_moved", None),
    ]  # fmt: skip
    assert compare() == []


def test_an_order_paid_before_closes_with_its_delivery(work: Work, wrapped: Piece):
    issue_invoice(work.call(), commission=wrapped.commission.number)
    pay(work, wrapped, "1100.00")
    assert step(wrapped) == "ready"
    work.do(wrapped, "deliver")
    assert step(wrapped) == "closed"


def test_an_order_that_its_deposit_paid_closes_with_its_invoice(work: Work, wrapped: Piece):
    number = wrapped.commission.number
    issue_deposit(work.call(), commission=number, pct=D(100))
    pay(work, wrapped, "1100.00")
    work.do(wrapped, "deliver")
    assert step(wrapped) == "delivered", "the whole has no invoice yet"
    issue_invoice(work.call(), commission=number)
    assert step(wrapped) == "closed"


def test_it_stays_open_while_a_piece_is_in_the_shop(work: Work):
    first = work.accepted(**SHORT)
    second = a_piece(work.call(), first.commission, **SHORT)
    wrap(work, first)
    issue_invoice(work.call(), commission=first.commission.number)
    pay(work, first, "1100.00")
    work.do(first, "deliver")
    assert step(first) == "in the shop"
    work.do_until(second, "wrap")
    assert step(first) == "ready"
    work.do(second, "deliver")
    assert step(first) == "closed" and stage_of(first, "close").step == "done"


def test_it_is_opened_again_with_a_reason(work: Work, wrapped: Piece):
    number = wrapped.commission.number
    with pytest.raises(WrongState, match="is ready"):
        reopen_commission(work.call(), commission=number, reason="a leg is loose")
    issue_invoice(work.call(), commission=number)
    pay(work, wrapped, "1100.00")
    work.do(wrapped, "deliver")
    with pytest.raises(Invalid, match="reason"):
        reopen_commission(work.call(), commission=number, reason=" ")
    reopen_commission(work.call(), commission=number, reason="a leg is loose")
    assert (step(wrapped), stage_of(wrapped, "close").step) == ("delivered", "planned")
    assert stage_of(wrapped, "paid").step == "done"
    work.do(wrapped, "close")
    assert step(wrapped) == "closed" and compare() == []
