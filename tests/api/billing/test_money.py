"""Money over the API as on the pages: asked for, taken, corrected; a closed order opened again."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.clients.commands import change_client
from jobs.models import Payment, Person
from tests.api.client import Api, refused
from tests.shop_fixtures import Work, a_price, the_paper

pytestmark = pytest.mark.django_db


@pytest.fixture
def work(owner: Person) -> Work:
    return Work(owner, timezone.now() - timedelta(days=40))


@pytest.fixture
def at(work: Work) -> str:
    """Return the address of an order of 1100.00 whose client has an address."""
    piece = work.accepted()
    a_price(work.call(), piece.commission)
    change_client(work.call(), client=piece.commission.client_id, email="orla@fenwick.example")
    return f"commissions/{piece.commission.number}/"


def test_a_deposit_is_sent_paid_with_its_receipt_and_summed_up(api: Api, at: str):
    paper = api.post(f"{at}deposit/", {"pct": "50", "send": "mail"}).data["paper"]
    assert paper["sent"]["by_mail"] is True and paper["invoice"]["state"] == "open"
    assert [step["do"] for step in api.get(at).data["office"]] == ["Record the deposit"]
    paid = api.post(
        f"{at}payments/", {"amount": "550.00", "what": "deposit", "method": "check", "send": "hand"}
    )
    assert paid.status_code == 201, paid.data
    money = paid.data["commission"]["money"]
    assert money["payments"][0]["method"] == "check"
    assert money["summary"] == {
        "agreed": "1100.00", "changed": "0.00", "invoiced": "550.00", "credited": "0.00", "paid": "550.00",
        "open": "0.00", "deposit_open": "0.00", "to_come": "550.00", "left": "550.00", "in_favor": "0.00",
        "late": "0.00", "days_late": 0, "state": "",
    }  # fmt: skip
    receipt = next(p for p in paid.data["commission"]["papers"] if p["kind"] == "receipt")
    assert receipt["sent"]["by_mail"] is False
    again = api.post(f"papers/{receipt['number']}/send/", {"how": "mail"})
    assert again.data["paper"]["sent"]["by_mail"] is True
    assert api.get(f"papers/{paper['number']}/").data["invoice"]["state"] == "paid"


def test_a_mistyped_payment_is_corrected_in_one_step(api: Api, at: str):
    api.post(f"{at}payments/", {"amount": "810.00", "method": "cash"})
    wrong = Payment.objects.get()
    done = api.post(f"payments/{wrong.id}/correct/", {"amount": "801.00", "reason": "digits turned round"})
    payments = done.data["commission"]["money"]["payments"]
    assert [(p["amount"], p["method"], p["void_reason"]) for p in payments] == [
        ("810.00", "cash", "digits turned round"), ("801.00", "cash", ""),
    ]  # fmt: skip
    refused(api.post(f"payments/{wrong.id}/correct/", {"amount": "1.00"}), 409, "already-done", "payment")
    refused(api.post(f"{at}payments/", {"amount": "1", "method": "gold"}), 422, "invalid", "method")


def test_a_late_invoice_is_reminded_of(api: Api, work: Work, at: str):
    number = at.split("/")[1]
    paper = {"number": the_paper(issue_invoice(work.call(), commission=number, send="hand")).number}
    assert api.get(f"papers/{paper['number']}/").data["invoice"]["state"] == "late"
    reminded = api.post(f"papers/{paper['number']}/remind/", {"words": "Did it arrive?"}).data["paper"]
    assert reminded["reminded_at"] and reminded["sent"]["by_mail"] is False


def test_an_order_that_is_not_closed_is_not_opened_again(api: Api, at: str):
    refused(api.post(f"{at}reopen/", {"reason": "a leg is loose"}), 409, "wrong-state", "commission")
