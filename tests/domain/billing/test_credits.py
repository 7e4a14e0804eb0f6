"""Credit notes of a part: lines, quantities or a sum; the invoice holds on with what is left."""

import json
from decimal import Decimal as D
from typing import Any

import pytest

from jobs.core.errors import AlreadyDone, Invalid, RestsOnPaper
from jobs.domain.billing.balances import summary_of
from jobs.domain.billing.credits import CreditLine, credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.billing.queries import receivables
from jobs.domain.overviews.papers import paper_view
from jobs.log.private_texts import read
from jobs.log.rebuild import compare
from jobs.models import Commission, Event, Paper
from tests.api.client import Api
from tests.shop_fixtures import SHORT, Work, a_price, issue_checklist, the_paper

pytestmark = pytest.mark.django_db
# Each sum below is worked out by hand.
LINES = [
    Line(description="Desk top", quantity=D(2), unit_price=D(300), tax_pct=D(19)),
    Line(description="A book on wood", unit_price=D(100), tax_pct=D(7)),
]


@pytest.fixture
def commission(work: Work) -> Commission:
    found = work.accepted(**SHORT).commission
    set_price(work.call(), commission=found.number, lines=LINES)
    return found


@pytest.fixture
def invoice(work: Work, commission: Commission) -> str:
    """Return the invoice of 700.00 before tax and 121.00 tax, together 821.00."""
    return the_paper(issue_invoice(work.call(), commission=commission.number)).number


def credit(work: Work, invoice: str, **asked: Any) -> dict[str, Any]:
    note = the_paper(credit_invoice(work.call(), paper=invoice, reason="a scratch", **asked))
    return json.loads(read(note.frozen_ref))  # type: ignore[no-any-return]


def sums(said: dict[str, Any]) -> tuple[str, ...]:
    return said["net"], said["tax"], said["total"], said["left"]


def by_rate(said: dict[str, Any]) -> list[tuple[str, str]]:
    return [(tax["taxable"], tax["tax"]) for tax in said["totals"]]


def seen(work: Work, number: str) -> dict[str, Any]:
    view = paper_view(Paper.objects.get(number=number), with_money=True, today=work.now.date())
    return {"standing": view["standing"], **view["invoice"]}


def test_a_line_then_a_sum_then_the_rest_come_to_the_invoice(
    work: Work, commission: Commission, invoice: str
):
    one = credit(work, invoice, lines=[CreditLine(line=1, quantity=D(1))])
    assert [(li["description"], li["quantity"], li["amount"]) for li in one["lines"]] == [
        ("Desk top", "1", "300.00")
    ]
    assert sums(one) == ("300.00", "57.00", "357.00", "464.00")
    assert (seen(work, invoice)["open"], seen(work, invoice)["credited"]) == (D(464), D(357))
    two = credit(work, invoice, amount=D(100))
    assert sums(two) == ("86.21", "13.79", "100.00", "364.00")
    assert by_rate(two) == [("64.66", "12.28"), ("21.55", "1.51")], "100.00 as 357.00 to 107.00 with tax"
    assert seen(work, invoice)["standing"] == "being prepared"
    summary = summary_of(commission, today=work.now.date())
    assert (summary.invoiced, summary.credited, summary.open, summary.to_come) == (821, 457, 364, 0)
    assert receivables(today=work.now.date())["invoices"][0]["open"] == D(364)
    rest = credit(work, invoice)
    assert sums(rest) == ("313.79", "50.21", "364.00", "0.00")
    assert seen(work, invoice)["standing"] == "credited"
    summary = summary_of(commission, today=work.now.date())
    assert (summary.invoiced, summary.credited, summary.open, summary.to_come) == (821, 821, 0, 821)
    with pytest.raises(AlreadyDone, match="credited by C2026-0001, C2026-0002, C2026-0003"):
        credit(work, invoice)
    assert compare() == []


def test_never_more_than_is_left_and_nothing_is_written(work: Work, invoice: str):
    credit(work, invoice, lines=[CreditLine(line=1, quantity=D(1))])
    asked: list[tuple[dict[str, Any], str, str]] = [
        ({"lines": [CreditLine(line=1, quantity=D("1.5"))]}, "lines/0/quantity", "above 0, up to 1"),
        ({"lines": [CreditLine(line=1, quantity=D(0))]}, "lines/0/quantity", "above 0, up to 1"),
        ({"lines": [CreditLine(line=3)]}, "lines/0/line", "1 to 2, each once"),
        ({"lines": [CreditLine(line=2), CreditLine(line=2)]}, "lines/1/line", "1 to 2, each once"),
        ({"amount": D("464.01")}, "amount", "0.01 to 464.00 USD, what is left of it; two decimals"),
        ({"amount": D("-5")}, "amount", "0.01 to 464.00 USD, what is left of it; two decimals"),
        ({"amount": D("1.001")}, "amount", "0.01 to 464.00 USD, what is left of it; two decimals"),
        ({"amount": D(5), "lines": [CreditLine(line=2)]}, "amount", "one of them"),
    ]
    before = Event.objects.count()
    for given, field, allowed in asked:
        with pytest.raises(Invalid) as refused:
            credit(work, invoice, **given)
        assert (refused.value.field, refused.value.allowed) == (field, allowed)
    credit(work, invoice, amount=D(400))
    with pytest.raises(Invalid, match="more than is left of I2026-0001 before tax"):
        credit(work, invoice, lines=[CreditLine(line=2)])
    assert Event.objects.count() == before + 1


def test_thirds_of_a_line_come_to_the_line(work: Work, commission: Commission):
    """Three of 3 x 33.335 (100.01 after rounding): 33.34, 33.33 and 33.34."""
    line = Line(description="Leg", quantity=D(3), unit_price=D("33.335"), tax_pct=D(19))
    set_price(work.call(), commission=commission.number, lines=[line])
    number = the_paper(issue_invoice(work.call(), commission=commission.number)).number
    notes = [credit(work, number, lines=[CreditLine(line=1, quantity=D(1))]) for _ in range(3)]
    assert [note["net"] for note in notes] == ["33.34", "33.33", "33.34"]
    assert sum(D(note["tax"]) for note in notes) == D("19.00"), "19 % of 100.01"
    assert notes[1]["lines"][0]["description"] == "Leg\n1 of 3", "33.33 is not 1 x 33.335"
    assert seen(work, number)["standing"] == "credited"


def test_a_paid_invoice_credited_in_part_leaves_money_in_their_favor(
    work: Work, commission: Commission, invoice: str
):
    record_payment(work.call(), commission=commission.number, amount=D(821))
    said = credit(work, invoice, amount=D(21))
    assert (said["order"]["open"], said["order"]["in_favor"]) == ("0.00", "21.00")
    assert (seen(work, invoice)["state"], seen(work, invoice)["open"]) == ("paid", 0)


def test_a_deposit_credited_in_part_is_taken_off_with_the_rest(work: Work, commission: Commission):
    number = commission.number
    deposit = the_paper(issue_deposit(work.call(), commission=number, pct=D(50)))
    assert deposit.invoice.total == D("410.50")
    credit(work, deposit.number, amount=D("110.50"))
    assert summary_of(commission, today=work.now.date()).to_come == D(521), "821.00 less 300.00"
    final = the_paper(issue_invoice(work.call(), commission=number))
    assert final.invoice.total == D(521)
    assert summary_of(commission, today=work.now.date()).open == D(821)
    with pytest.raises(RestsOnPaper, match="takes I2026-0001 off"):
        credit(work, deposit.number, amount=D(1))


def test_a_line_of_which_a_deposit_billed_a_part_is_credited_whole(work: Work, commission: Commission):
    """The half of 821.00 billed 53.50 of the book's 107.00; all of it comes off the final invoice."""
    issue_deposit(work.call(), commission=commission.number, pct=D(50))
    final = the_paper(issue_invoice(work.call(), commission=commission.number)).number
    said = credit(work, final, lines=[CreditLine(line=2)])
    assert sums(said) == ("100.00", "7.00", "107.00", "303.50")
    with pytest.raises(Invalid, match="more than is left of I2026-0002") as refused:
        credit(work, final, lines=[CreditLine(line=1)])
    assert refused.value.allowed == "up to 303.50 USD with tax"
    assert sums(credit(work, final)) == ("250.00", "53.50", "303.50", "0.00")


def test_crediting_what_is_owed_closes_a_delivered_order(work: Work):
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    work.do(piece, "deliver")
    invoice = the_paper(issue_invoice(work.call(), commission=piece.commission.number)).number
    record_payment(work.call(), commission=piece.commission.number, amount=D(1000))
    made = Api(work.by).post(f"papers/{invoice}/credit/", {"reason": "a scratch", "amount": "100.00"})
    assert made.data["paper"]["credits"] == invoice
    assert Commission.objects.get().step == "closed"


def test_the_api_credits_lines_and_a_sum(work: Work, invoice: str):
    api = Api(work.by)
    body = {"reason": "a scratch", "lines": [{"line": 1, "quantity": "1"}]}
    made = api.post(f"papers/{invoice}/credit/", body)
    paper = made.data["paper"]
    assert (paper["what"], paper["credits"], paper["invoice"]["total"]) == ("part", invoice, "357.00")
    api.post(f"papers/{invoice}/credit/", {"reason": "a scratch", "amount": "100.00"})
    shown = api.get(f"papers/{invoice}/").data["invoice"]
    assert (shown["credited"], shown["open"], shown["total"]) == ("457.00", "364.00", "821.00")
