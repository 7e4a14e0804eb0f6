"""The papers of one order, read back from their PDF: deposit, receipt and final invoice agree."""

from decimal import Decimal as D

import pytest

from jobs.documents.render import render
from jobs.domain.billing.invoice_commands import issue_invoice
from jobs.domain.billing.payments import record_payment
from jobs.domain.billing.prices import Line
from jobs.domain.billing.statements import issue_receipt
from jobs.domain.clients.commands import change_client
from jobs.domain.quoting.acceptance import accept_offer
from jobs.domain.quoting.quotes import draft_change_order, draft_quote, issue_offer
from jobs.domain.workshop.commands import set_shop
from jobs.models import Paper, Payment
from tests.documents.reading import words
from tests.documents.shop import a_shop
from tests.documents.standards import rules_broken
from tests.documents.test_standards import inside
from tests.needs import needs
from tests.shop_fixtures import Work, a_client, a_commission, a_piece, the_paper

pytestmark = [pytest.mark.django_db, needs("weasyprint")]


def ordered(work: Work, net: str, size: str = "letter") -> str:
    """Return the number of an accepted quote of one line at 19 %, half of it asked as a deposit."""
    set_shop(work.call(), country="DE", postcode="04177", city="Lindenau", settings={"paper_size": size})
    commission = a_commission(work.call(), a_client(work.call(), address="12 Harbour Steps"))
    change_client(work.call(), client=commission.client_id, country="DE", postcode="18055", city="Aldersey")
    a_piece(work.call(), commission)
    line = Line(description="Top as drawn", unit_price=D(net), tax_pct=D(19))
    draft_quote(work.call(), commission=commission.number, lines=[line], deposit_pct=D(50))
    issue_offer(work.call(), offer=f"{commission.number}-Q1")
    accept_offer(work.call(), offer=f"{commission.number}-Q1", version=1)
    return commission.number


# By hand: 4184.87 and 19 % of it, 795.13, are 4980.00; half is 2490.00: 2092.44 and 397.56. The rest is
# 2092.43 and 397.57, where 19 % of 2092.43 alone would be 397.56.
@pytest.mark.parametrize("size", ["letter", "A4"])
def test_quote_deposit_receipt_and_final_invoice_name_the_same_sums(size: str):
    work = a_shop()
    number = ordered(work, "4184.87", size)
    quote = words(render(Paper.objects.get(kind=Paper.QUOTE)))
    assert "Deposit 2,490.00 USD, 50 % of 4,980.00, when you accept" in quote
    deposit = words(render(Paper.objects.get(what="deposit")))
    for said in (
        "Deposit, 50 % of the agreed 4,980.00 USD with VAT: 2,490.00 USD", "Before VAT 2,092.44 USD",
        "VAT, 19 % of 2,092.44 397.56 USD", "Total with VAT 2,490.00 USD", "To pay 2,490.00 USD",
    ):  # fmt: skip
        assert said in deposit, said
    record_payment(work.call(), commission=number, amount=D(2490), what="deposit")
    receipt = words(render(the_paper(issue_receipt(work.call(), payment=Payment.objects.get().id))))
    for said in (
        "two thousand, four hundred and ninety dollars and zero cents", "For deposit, invoice I2026-0001,",
        "4,980.00 USD agreed, with tax; with this you have paid 2,490.00; 2,490.00 is still to come",
        "This is a receipt, not an invoice: it asks for nothing.",
    ):  # fmt: skip
        assert said in receipt, said
    assert "is invoiced and open" not in receipt
    pdf = render(the_paper(issue_invoice(work.call(), commission=number)))
    final = words(pdf)
    for said in (
        "Less deposit invoice I2026-0001 its VAT of 397.56 USD is taken off with it",
        "Before VAT 2,092.43 USD", "Agreed in quote Q2026-0001",
        "rounded up by 0.01, so that all adds up to the agreed tax", "Total with VAT 2,490.00 USD",
        "To pay 2,490.00 USD",
        "so far, in USD with VAT Agreed 4,980.00 Invoiced 4,980.00 with this one Paid 2,490.00 "
        "To pay now 2,490.00 by", "Still to come 0.00",
    ):  # fmt: skip
        assert said in final, said
    assert "Paid for this invoice" not in final
    assert rules_broken(inside(pdf)) == []


def test_a_deposit_that_needs_a_cent_of_tax_more_breaks_no_rule():
    """0.05 with 19 % is 0.06; half of it is 0.03 and nothing, though 19 % of 0.03 would round to 0.01."""
    number = ordered(work := a_shop(), "0.05")
    deposit = render(Paper.objects.get(what="deposit"))
    final = render(the_paper(issue_invoice(work.call(), commission=number)))
    assert "rounded down by 0.01" in words(deposit)
    assert rules_broken(inside(deposit)) == rules_broken(inside(final)) == []


def test_a_change_order_adds_up_to_the_price_from_then_on():
    """By hand: 9.98 and 1.90 are 11.88; 9.98 and 9.98 are 19.96, with 3.79 (3.7924) 23.75: 11.87 more."""
    number = ordered(work := a_shop(), "9.98")
    line = Line(description="Another", unit_price=D("9.98"), tax_pct=D(19))
    draft_change_order(work.call(), commission=number, words="Two of it", lines=[line])
    issue_offer(work.call(), offer=f"{number}-X1")
    said = words(render(Paper.objects.get(kind=Paper.CHANGE)))
    for part in (
        "Change in price + 11.87 USD", "Price until now 11.88 USD", "Price from then on 23.75 USD",
        "rounded down by 0.01, so that all adds up to the agreed tax",
    ):  # fmt: skip
        assert part in said, part
