"""Wood is bought once the deposit is there, where the shop waits for it; a reason passes."""

from decimal import Decimal as D

import pytest

from jobs.core.errors import GateShut
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit
from jobs.domain.billing.payments import record_payment
from jobs.domain.workshop.commands import set_shop
from jobs.models import Piece
from tests.shop_fixtures import QUICK, Work, a_price, quick_sheets, stage_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def piece(work: Work) -> Piece:
    quick_sheets(work.call())
    return work.accepted(**QUICK)


@pytest.fixture
def ordered(work: Work, piece: Piece) -> Piece:
    """Return a piece whose drawing is approved; a deposit of 550.00 is asked."""
    a_price(work.call(), piece.commission)
    issue_deposit(work.call(), commission=piece.commission.number, pct=D(50))
    work.do(piece, "survey")
    return piece


def test_the_boards_wait_for_every_cent_of_the_deposit(work: Work, ordered: Piece):
    with pytest.raises(GateShut, match="Deposit received: 550.00 USD still to come") as refused:
        work.start(ordered, "stock")
    assert [shut["key"] for shut in refused.value.extra["shut"]] == ["deposit_received"]
    record_payment(work.call(), commission=ordered.commission.number, amount=D("549.99"))
    with pytest.raises(GateShut, match="0.01 USD still to come"):
        work.start(ordered, "stock")
    record_payment(work.call(), commission=ordered.commission.number, amount=D("0.01"))
    work.start(ordered, "stock")


def test_a_reason_passes_and_stays_on_record(work: Work, ordered: Piece):
    work.start(ordered, "stock", override={"deposit_received": "they pay at the yard"})
    assert list(stage_of(ordered, "stock").overrides) == ["deposit_received"]


def test_a_deposit_that_was_credited_is_not_waited_for(work: Work, ordered: Piece):
    credit_invoice(work.call(), paper="I2026-0001", reason="they pay the whole at the end")
    work.start(ordered, "stock")


def test_without_a_deposit_there_is_nothing_to_wait_for(work: Work, piece: Piece):
    work.do(piece, "survey", "stock")


def test_a_shop_may_buy_at_once(work: Work, ordered: Piece):
    set_shop(work.call(), settings={"deposit_before_wood": "no"})
    work.start(ordered, "stock")
