"""Profit of a year: an order counts, whole, in the month of its invoice; the year before stands beside it."""

import re
from datetime import UTC, datetime
from decimal import Decimal as D

import pytest

from jobs.core.errors import Invalid
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.books.costs import add_cost
from jobs.domain.books.profit import profit_of_year
from jobs.web.books.profit_chart import profit_chart
from tests.shop_fixtures import SHORT, Work, a_price, the_paper
from tests.web.pages import Pages

pytestmark = pytest.mark.django_db


def sold(work: Work, year: int, month: int, costs: str) -> tuple[str, str]:
    """Return an order of 1000.00 invoiced in a month, and its invoice; its deposit was in January."""
    work.now = datetime(year, 1, 10, 12, tzinfo=UTC)
    piece = work.accepted(**SHORT)
    number = piece.commission.number
    a_price(work.call(), piece.commission)
    issue_deposit(work.call(), commission=number, pct=D(50))
    add_cost(work.call(), commission=number, what="Boards", net=D(costs), kind="lumber")
    work.now = datetime(year, month, 20, 12, tzinfo=UTC)
    return number, the_paper(issue_invoice(work.call(), commission=number)).number


def test_a_year_sums_its_orders_beside_the_year_before(work: Work):
    sold(work, 2025, 12, "100.00")
    first, _ = sold(work, 2026, 3, "400.00")
    second, invoice = sold(work, 2026, 5, "1250.00")
    credit_invoice(work.call(), paper=invoice, reason="a scratch", amount=D("110.00"))  # 100.00 without tax
    (account,) = profit_of_year(2026)["accounts"]
    # 1000 + 1000 - 100 in, 400 + 1250 out
    assert (account["income"], account["costs"], account["profit"]) == (
        D("1900.00"),
        D("1650.00"),
        D("250.00"),
    )
    assert account["before"]["profit"] == D("900.00") and account["before"]["orders"] == 1
    by_month = {m["month"]: m["profit"] for m in account["months"] if m["orders"]}
    assert by_month == {3: D("600.00"), 5: D("-350.00")}
    assert [one["commission"] for one in account["commissions"]] == [second, first]
    assert sum(m["profit"] for m in account["months"]) == account["profit"]


def test_an_order_with_a_deposit_alone_does_not_count_yet(work: Work):
    work.now = datetime(2026, 2, 2, 12, tzinfo=UTC)
    piece = work.accepted(**SHORT)
    a_price(work.call(), piece.commission)
    issue_deposit(work.call(), commission=piece.commission.number, pct=D(50))
    assert profit_of_year(2026)["accounts"] == []
    with pytest.raises(Invalid) as refused:
        profit_of_year(9999)
    assert refused.value.field == "year"


def test_the_columns_of_the_chart_are_as_high_as_their_sums(work: Work):
    """Measured on the SVG: heights are to each other as the sums are, and a loss hangs below the line."""
    sold(work, 2026, 3, "400.00")
    sold(work, 2026, 5, "1250.00")
    (account,) = profit_of_year(2026)["accounts"]
    drawn = str(profit_chart(account["months"], currency="USD", year=2026))
    bars = re.findall(r'<rect class="(\w+)" x="([\d.]+)" y="([\d.]+)" width="\d+" height="([\d.]+)"', drawn)
    zero = float(re.search(r'class="zero" d="M\d+ ([\d.]+)H', drawn)[1])  # type: ignore[index]
    high = {(kind, x): float(h) for kind, x, _y, h in bars}
    (march, _), (may, _) = sorted({(float(x), kind) for kind, x, _y, _h in bars if kind in ("gain", "loss")})
    cost, gain = high["cost", f"{march:g}"], high["gain", f"{march:g}"]
    paid, loss = high["cost", f"{may:g}"], high["loss", f"{may:g}"]
    assert gain / cost == pytest.approx(600 / 400, rel=0.01)
    assert loss / paid == pytest.approx(250 / 1000, rel=0.02)
    tops = {kind: float(y) for kind, x, y, _h in bars if float(x) == may}
    assert tops["loss"] == pytest.approx(zero, abs=0.1) and tops["cost"] < zero


@pytest.mark.parametrize(
    "income, marks", [("700", "200 400 600 800"), ("18230", "5k 10k 15k 20k"), ("39000", "10k 20k 30k 40k")]
)
def test_the_scale_of_the_chart_names_its_marks(income: str, marks: str):
    of_none = {"income": D(0), "costs": D(0), "profit": D(0)}
    months = [{"month": n, **of_none} for n in range(1, 13)]
    months[0] |= {"income": D(income), "profit": D(income)}
    drawn = str(profit_chart(months, currency="USD", year=2026))
    assert re.findall(r'text-anchor="end">([^<]*)<', drawn) == ["0", *marks.split()]


def test_the_page_shows_both_years_and_refuses_others(work: Work):
    sold(work, 2026, 3, "400.00")
    pages = Pages(work.by)
    page = pages.get("/profit/?year=2026")
    for words in ("Profit of 2026", "600.00 USD", "March", "not all costs are known"):
        assert (words in page.words) is (words != "not all costs are known"), words
    assert 'href="/profit/"' in pages.get("/office/").text
    assert pages.http.get("/profit/?year=20261").status_code == 422
