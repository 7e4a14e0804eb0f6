"""A whole story by commands alone: from an enquiry to a closed commission."""

from decimal import Decimal

import pytest

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.log.commands import verify_log
from jobs.log.rebuild import compare
from jobs.models import Commission
from tests.shop_fixtures import QUICK, Work, a_price, an_owner, issue_checklist, quick_sheets

pytestmark = pytest.mark.django_db


def test_from_enquiry_to_closed():
    work = Work(an_owner())
    quick_sheets(work.call())
    piece = work.accepted(**QUICK, stiffeners=True, mark="after finishing")
    number = piece.commission.number
    a_price(work.call(), piece.commission)
    record_payment(work.call(), commission=number, amount=Decimal(500), what="deposit")
    work.do_until(piece, "wrap")
    assert Commission.objects.get().step == "ready"
    issue_checklist(work.call(), commission=number)
    work.do(piece, "deliver")
    assert Commission.objects.get().step == "delivered"
    invoice = issue_invoice(work.call(), commission=number).events[0].data["invoice"]
    assert (invoice["total"], invoice["due"]) == ("1100.00", "600.00")
    record_payment(work.call(), commission=number, amount=Decimal(600))
    work.do(piece, "paid", "close")
    assert Commission.objects.get().step == "closed"
    assert compare() == []
    verify_log()
