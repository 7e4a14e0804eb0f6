"""The bookkeeper's year as a table: each tax rate, credit and payment on its row, with its sign and day."""

import csv
import io
from datetime import UTC, date, datetime
from decimal import Decimal as D

import pytest

from jobs.core.errors import Invalid
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment, record_repayment
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.billing.statements import issue_receipt
from jobs.domain.billing.voiding import void_payment
from jobs.domain.books.bookkeeping import books_csv
from jobs.models import Payment
from tests.shop_fixtures import SHORT, Work, the_paper

pytestmark = pytest.mark.django_db
SUMS = ("tax category", "tax rate %", "net", "tax", "gross", "received")


def table(year: int) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(books_csv(str(year)).decode("utf-8-sig"))))


def billed(work: Work) -> tuple[str, str]:
    """Return a commission and its invoice: 1000.00 at 10 % and 200.00 exempt, so 1300.00."""
    number = work.accepted(**SHORT).commission.number
    lines = [
        Line(description="Top as drawn", unit_price=D(1000), tax_pct=D(10)),
        Line(description="For resale", unit_price=D(100), quantity=D(2), tax_category="E"),
    ]
    set_price(work.call(), commission=number, lines=lines)
    return number, the_paper(issue_invoice(work.call(), commission=number)).number


def pay(work: Work, number: str, amount: str, day: date) -> Payment:
    given = {"amount": D(amount), "received_on": day, "more_than_owed": True}
    record_payment(work.call(), commission=number, **given)
    return Payment.objects.latest("id")


def test_every_rate_credit_payment_and_repayment_has_its_row(work: Work):
    number, invoice = billed(work)
    paid = pay(work, number, "1320.50", date(2026, 3, 2))
    receipt = the_paper(issue_receipt(work.call(), payment=paid.id)).number
    back = {"amount": D("20.50"), "reason": "paid too much", "received_on": date(2026, 3, 2)}
    record_repayment(work.call(), commission=number, **back)
    note = the_paper(credit_invoice(work.call(), paper=invoice, reason="the wrong client")).number
    rows = table(2026)
    assert {(row["date"], row["commission"], row["client"], row["currency"]) for row in rows} == {
        ("2026-03-02", number, "Orla Fenwick", "USD")
    }
    told = [(row["kind"], row["number"], row["refers to"], *(row[name] for name in SUMS)) for row in rows]
    assert told == [
        ("invoice", invoice, "", "S", "10.000", "1000.00", "100.00", "1100.00", ""),
        ("invoice", invoice, "", "E", "0.000", "200.00", "0.00", "200.00", ""),
        ("payment", receipt, "", "", "", "", "", "", "1320.50"),
        ("repayment", "", "", "", "", "", "", "", "-20.50"),
        ("credit note", note, invoice, "S", "10.000", "-1000.00", "-100.00", "-1100.00", ""),
        ("credit note", note, invoice, "E", "0.000", "-200.00", "0.00", "-200.00", ""),
    ]


def test_the_taxed_sums_of_a_year_add_up_to_its_invoices_less_its_credits(work: Work):
    _, first = billed(work)
    _, second = billed(work)
    credit_invoice(work.call(), paper=first, reason="the wrong client")
    rows = table(2026)
    assert sum(D(row["gross"] or 0) for row in rows) == 1300
    assert sum(D(row["net"] or 0) + D(row["tax"] or 0) for row in rows) == 1300
    assert [row["number"] for row in rows if row["kind"] == "invoice"] == [first, first, second, second]


def test_a_payment_stands_in_the_year_of_its_day_and_names_the_invoice_it_pays(work: Work):
    number, invoice = billed(work)
    pay(work, number, "300", date(2025, 12, 31))
    pay(work, number, "200", date(2026, 1, 1))
    for year, day, amount in ((2025, "2025-12-31", "300.00"), (2026, "2026-01-01", "200.00")):
        (row,) = [row for row in table(year) if row["kind"] == "payment"]
        assert (row["date"], row["received"], row["refers to"]) == (day, amount, invoice)
    assert [row["kind"] for row in table(2025)] == ["payment"]
    assert table(2027) == []


def test_an_invoice_of_the_last_minutes_of_a_year_stands_in_it(work: Work):
    work.now = datetime(2026, 12, 31, 23, 50, tzinfo=UTC)
    billed(work)
    assert {row["date"] for row in table(2026)} == {"2026-12-31"}
    assert table(2027) == []


def test_a_void_payment_is_in_no_year(work: Work):
    number, _ = billed(work)
    paid = pay(work, number, "300", date(2026, 3, 2))
    void_payment(work.call(), payment=paid.id)
    assert {row["kind"] for row in table(2026)} == {"invoice"}


@pytest.mark.parametrize("year, known", [(1989, False), (1990, True), (2199, True), (2200, False)])
def test_years_have_a_range(db: None, year: int, known: bool):
    if known:
        assert table(year) == []
        return
    with pytest.raises(Invalid) as refused:
        books_csv(str(year))
    assert (refused.value.field, refused.value.value) == ("period", str(year))
