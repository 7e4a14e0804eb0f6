"""The bookkeeper's file and the tax of a period: they add up to the documents, by either day of the tax."""

import csv
import io
from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from jobs.core.errors import Invalid
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.books.bookkeeping import books_csv
from jobs.domain.books.costs import add_cost
from jobs.domain.books.tax_return import tax_summary
from jobs.domain.clients.commands import change_client
from jobs.domain.workshop.commands import set_shop
from jobs.models import Commission, Invoice, Paper
from tests.shop_fixtures import SHORT, Work, the_paper

pytestmark = pytest.mark.django_db
QUARTERS = tuple(f"2026-Q{n}" for n in (1, 2, 3, 4))
MONTHS = tuple(f"2026-{n:02}" for n in range(1, 13))


def table(period: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(books_csv(period).decode("utf-8-sig"))))


def priced(work: Work) -> str:
    """Return an order of 1000.00 at 20 % and 300.00 at 10 %: with tax 1200.00 and 330.00."""
    number = work.accepted(**SHORT).commission.number
    lines = [
        Line(description="Top as drawn", unit_price=D(1000), tax_pct=D(20)),
        Line(description="Books on it", unit_price=D(300), tax_pct=D(10)),
    ]
    set_price(work.call(), commission=number, lines=lines)
    return number


def on(work: Work, month: int, day: int) -> None:
    work.now = datetime(2026, month, day, 12, tzinfo=UTC)


def pay(work: Work, number: str, amount: str, day: date) -> None:
    record_payment(
        work.call(), commission=number, amount=D(amount), received_on=day, method="transfer",
        more_than_owed=True,
    )  # fmt: skip


def rates(period: str) -> dict[D, tuple[D, D]]:
    """Return base and tax by rate."""
    accounts = tax_summary(period)["accounts"]
    return {row["rate_pct"]: (row["base"], row["tax"]) for one in accounts for row in one["rows"]}


def a_year(work: Work) -> str:
    """Play a deposit in March, the invoice in June, a credit of 153.00 in July, three payments."""
    on(work, 3, 10)
    number = priced(work)
    issue_deposit(work.call(), commission=number, pct=D(50))  # 765.00 of 1530.00
    pay(work, number, "765.00", date(2026, 3, 10))
    on(work, 6, 29)
    whole = the_paper(issue_invoice(work.call(), commission=number)).number
    on(work, 7, 10)
    credit_invoice(work.call(), paper=whole, reason="a scratch", amount=D("153.00"))  # a tenth of it all
    pay(work, number, "306.00", date(2026, 7, 9))
    on(work, 10, 5)
    pay(work, number, "306.00", date(2026, 10, 4))  # 765 - 153 - 306
    return number


def summed(rows: list[dict[str, str]], name: str) -> D:
    return sum((D(row[name] or 0) for row in rows), D(0))


def test_file_documents_and_summary_of_a_year_add_up_to_the_same(work: Work):
    a_year(work)
    sold = [row for row in table("2026") if row["tax category"]]
    documents = Invoice.objects.select_related("paper")
    signed = [(-1 if one.paper.kind == Paper.CREDIT else 1, one) for one in documents]
    (account,) = tax_summary("2026")["accounts"]
    for name, of_file in (("net", "net"), ("tax", "tax"), ("total", "gross")):
        assert summed(sold, of_file) == sum(sign * getattr(one, name) for sign, one in signed)
    assert (account["base"], account["tax"]) == (summed(sold, "net"), summed(sold, "tax"))
    assert account["base"] + account["tax"] == D("1377.00")  # 1530 less the tenth that was credited
    for parts in (QUARTERS, MONTHS):
        assert [row for part in parts for row in table(part)] == table("2026")
        assert sum(rates(part).get(D(20), (0, 0))[0] for part in parts) == rates("2026")[D(20)][0]


def test_by_the_invoice_a_quarter_has_what_was_issued_in_it(work: Work):
    a_year(work)
    # the deposit is half of each rate; a tenth of each is credited: 1000 and 300, at 20 % and 10 %
    assert rates("2026-Q1") == {D(20): (D("500.00"), D("100.00")), D(10): (D("150.00"), D("15.00"))}
    assert rates("2026-Q2") == {D(20): (D("500.00"), D("100.00")), D(10): (D("150.00"), D("15.00"))}
    assert rates("2026-Q3") == {D(20): (D("-100.00"), D("-20.00")), D(10): (D("-30.00"), D("-3.00"))}
    assert rates("2026-Q4") == {}


def test_by_the_payment_a_quarter_has_what_was_paid_in_it(work: Work):
    set_shop(work.call(), settings={"vat_basis": "payment"})
    a_year(work)
    assert rates("2026-Q1") == {D(20): (D("500.00"), D("100.00")), D(10): (D("150.00"), D("15.00"))}
    assert rates("2026-Q2") == {}
    # 306 of the 612 that are left of the invoice, so half of 400 and 120 at their rates; then the other half
    half = {D(20): (D("200.00"), D("40.00")), D(10): (D("60.00"), D("6.00"))}
    assert (rates("2026-Q3"), rates("2026-Q4")) == (half, half)
    (year,) = tax_summary("2026")["accounts"]
    received = summed([row for row in table("2026") if row["kind"] in ("payment", "deposit")], "received")
    assert year["base"] + year["tax"] == received == D("1377.00")


def test_money_without_an_invoice_is_said_and_not_taxed(work: Work):
    set_shop(work.call(), settings={"vat_basis": "payment"})
    on(work, 3, 10)
    pay(work, priced(work), "400.00", date(2026, 3, 9))
    (account,) = tax_summary("2026-Q1")["accounts"]
    assert (account["tax"], account["not_invoiced"]) == (0, D("400.00"))


def test_a_credit_of_a_paid_invoice_stays_in_its_own_quarter(work: Work):
    set_shop(work.call(), settings={"vat_basis": "payment"})
    on(work, 3, 10)
    number = priced(work)
    whole = the_paper(issue_invoice(work.call(), commission=number)).number
    pay(work, number, "1530.00", date(2026, 3, 10))
    before = rates("2026-Q1")
    assert before == {D(20): (D("1000.00"), D("200.00")), D(10): (D("300.00"), D("30.00"))}
    on(work, 5, 2)
    credit_invoice(work.call(), paper=whole, reason="all wrong")
    assert rates("2026-Q1") == before, "a return that was sent does not change"
    assert rates("2026-Q2") == {D(20): (D("-1000.00"), D("-200.00")), D(10): (D("-300.00"), D("-30.00"))}


def test_rows_carry_days_party_method_and_the_accounts_of_the_bookkeeper(work: Work):
    set_shop(
        work.call(),
        settings={
            "income_accounts": "S: 4400", "money_accounts": {"transfer": "1800"},
            "cost_accounts": {"supplies": "5200"},
        },
    )  # fmt: skip
    on(work, 3, 10)
    number = priced(work)
    client = Commission.objects.get(number=number).client
    change_client(work.call(), client=client.id, country="DE", tax_id="DE811569869")
    issue_invoice(work.call(), commission=number, due_on=date(2026, 3, 24))
    pay(work, number, "1530.00", date(2026, 3, 10))
    add_cost(
        work.call(), commission=number, what="=HYPERLINK(1)", net=D("84.20"), tax=D("8.42"), kind="supplies",
        supplier="+Penrose",
    )  # fmt: skip
    invoiced, _other, paid, bought = sorted(table("2026-03"), key=lambda row: row["kind"] == "purchase")
    assert (invoiced["due date"], invoiced["paid on"], invoiced["account"]) == (
        "2026-03-24", "2026-03-10", "4400",
    )  # fmt: skip
    assert (invoiced["country"], invoiced["tax id"]) == ("DE", "DE811569869")
    assert (paid["method"], paid["account"], paid["received"]) == ("transfer", "1800", "1530.00")
    assert (bought["net"], bought["tax"], bought["gross"]) == ("-84.20", "-8.42", "-92.62")
    assert (bought["what"], bought["supplier"]) == ("'=HYPERLINK(1)", "'+Penrose")
    assert bought["account"] == "5200"
    (account,) = tax_summary("2026-Q1")["accounts"]
    assert (account["bought"], account["tax_paid"]) == (D("84.20"), D("8.42"))
    assert account["to_pay"] == D("230.00") - D("8.42")


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("income_accounts", "X: 1"), ("income_accounts", {"S": "=1"}), ("money_accounts", "transfer"),
        ("cost_accounts", {"lumber": "x" * 21}),
    ],
)  # fmt: skip
def test_an_account_that_cannot_be_is_refused(work: Work, setting: str, value: object):
    with pytest.raises(Invalid) as refused:
        set_shop(work.call(), settings={setting: value})
    assert refused.value.field == setting and refused.value.allowed


@pytest.mark.parametrize("period", ["2026-Q5", "2026-13", "26", "2026-q1", "2026-1", "1989", "", "2026-Q1 "])
def test_a_period_that_is_none_is_refused(db: None, period: str):
    for read in (books_csv, tax_summary):
        with pytest.raises(Invalid) as refused:
            read(period)
        assert refused.value.field == "period"
