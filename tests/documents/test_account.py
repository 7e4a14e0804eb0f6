"""Receipt: half a sheet, the amount in words. Statement: what is open by age, adding up to what is owed."""

from decimal import Decimal as D
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from jobs.documents.account import statement_html
from jobs.documents.kit.wording import amount_in_words
from jobs.documents.render import render
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.statements import issue_receipt, issue_statement
from jobs.models import Paper, Payment
from tests.documents.reading import reader, smallest_text, words
from tests.documents.samples import LETTERHEAD
from tests.documents.shop import a_shop
from tests.documents.test_order import ordered
from tests.needs import needs
from tests.shop_fixtures import the_paper

LANDSCAPE = {"letter": (612, 396), "A4": (595.3, 419.5)}
"""Half of a letter sheet, 8.5 x 5.5 in, and A5 of ISO 216 lying, 210 x 148 mm [1/72 in]."""


@cache
def speaker() -> Any:
    """Return what speaks numbers; loading it takes seconds, which not every worker of a run need spend."""
    import inflect

    return inflect.engine()


def spoken(number: int) -> str:
    return str(speaker().number_to_words(number, andword="")).replace(",", "")


@given(st.integers(0, 99_999_999), st.integers(0, 99))
def test_an_amount_in_words_is_that_of_another_library(whole: int, cents: int):
    """inflect 7.6 knows nothing of the library that writes the words; commas and "and" are style."""
    said = amount_in_words(D(f"{whole}.{cents:02d}"), "USD")
    dollars, cent_words = said.rsplit(" and ", 1)
    assert cent_words == f"{spoken(cents)} cent{'' if cents == 1 else 's'}"
    plain = dollars.replace(",", "").replace(" and ", " ")
    assert plain == f"{spoken(whole)} dollar{'' if whole == 1 else 's'}"


@pytest.mark.parametrize(
    ("amount", "currency", "says"),
    [
        ("4603.75", "USD", "four thousand, six hundred and three dollars and seventy-five cents"),
        ("1.01", "EUR", "one euro and one cent"),
        ("12.50", "GBP", "twelve pounds sterling and fifty pence"),
        ("1200.05", "CHF", "one thousand, two hundred and 05/100 CHF"),
    ],
)
def test_a_currency_is_named_and_one_without_a_name_has_its_cents_in_figures(amount, currency, says):
    assert amount_in_words(D(amount), currency) == says


@needs("weasyprint")
@pytest.mark.django_db
@pytest.mark.parametrize("size", ["letter", "A4"])
def test_a_receipt_is_half_a_sheet_that_asks_for_nothing(size: str):
    work = a_shop()
    number = ordered(work, "4184.87", size)
    long = "half of it, the other half when the boards are there, as we said on the telephone " * 3
    record_payment(
        work.call(), commission=number, amount=D(1200), what="deposit", method="transfer", note=long
    )
    pdf = render(the_paper(issue_receipt(work.call(), payment=Payment.objects.get().id)))
    (page,) = reader(pdf).pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
        LANDSCAPE[size], abs=0.1
    )
    told = words(pdf)
    for said in (
        "1,200.00 USD", "one thousand, two hundred dollars and zero cents", "by bank transfer",
        "4,980.00 USD agreed, with tax; with this you have paid 1,200.00; 3,780.00 is still to come",
        "1,290.00 of it is invoiced and open", "This is a receipt, not an invoice: it asks for nothing.",
    ):  # fmt: skip
        assert said in told, said
    assert "How to pay" not in told and "tax," not in told.partition("with tax")[0]
    assert smallest_text(pdf) >= 9 - 0.01


@needs("weasyprint")
@pytest.mark.django_db
def test_a_statement_shows_what_is_open_by_age_as_it_was_at_issue():
    """The deposit invoice of 2 March falls due on 16 March: on 16 April it is 31 days late."""
    work = a_shop()
    number = ordered(work, "4184.87")
    record_payment(work.call(), commission=number, amount=D(1200), what="deposit")
    work.go(days=45)
    issue_invoice(work.call(), commission=number)
    client = Paper.objects.get(what="deposit").commission.client_id
    paper = the_paper(issue_statement(work.call(), client=client))
    first = words(render(paper))
    assert (
        "Invoice Due Not yet due 1 to 30 days 31 to 60 days 61 to 90 days Over 90 days"
        " I2026-0001 16 March 2026 1,290.00 I2026-0002 30 April 2026 2,490.00"
        " Open, USD 2,490.00 0.00 1,290.00 0.00 0.00 Owed to us 3,780.00 USD"
    ) in first
    work.go(days=90)
    assert words(render(paper)) == first
    late = words(render(the_paper(issue_statement(work.call(), client=client))))
    assert "Open, USD 0.00 0.00 0.00 2,490.00 1,290.00" in late


SPANS = ((-99, 0), (1, 30), (31, 60), (61, 90), (91, 999))
DUE = st.tuples(st.integers(-30, 200), st.decimals("0.01", "9999.99", places=2))


@given(st.lists(DUE, max_size=6), st.decimals("0", "999.99", places=2))
def test_the_ages_and_the_rest_add_up_to_what_is_owed(due: list[tuple[int, D]], free: D):
    """The columns and the rows under them lead to the sum that is owed, whatever is open or free."""
    owed = sum((amount for _late, amount in due), D(0)) - free
    account = {
        "currency": "USD", "free": str(free),
        "moves": [{"on": "2026-03-02", "what": "x", "commission": "y", "amount": "1", "owed": str(owed)}],
        "open": [
            {"paper": f"I{n}", "due_on": "2026-03-02", "late": max(late, 0), "amount": str(amount)}
            for n, (late, amount) in enumerate(due)
        ],
    }  # fmt: skip
    frozen = {**LETTERHEAD, "number": "S2026-0001", "kind": "statement", "accounts": [account]}
    said = statement_html(frozen)

    page = html.fromstring(said)
    columns = [_figure(each) for each in page.xpath("//table[contains(@class,'ages')]/tfoot//td[@class='n']")]
    sums = page.xpath("//table[@class='sums']//tr")
    *rows, last = [_figure(row.xpath("td[@class='n']")[0]) for row in sums]
    assert last == abs(owed)
    assert ("In your favor" in said) == (owed < 0) and ("How to pay" in said) == (owed > 0)
    assert (sum(rows) if rows else sum(columns)) == owed
    for (least, most), column in zip(
        ((-99, 0), (1, 30), (31, 60), (61, 90), (91, 999)), columns, strict=False
    ):
        assert column == sum((amount for late, amount in due if least <= late <= most), D(0))


def _figure(cell) -> D:
    return D(cell.text_content().replace("USD", "").replace(",", "").replace("\u2212", "-").strip())
