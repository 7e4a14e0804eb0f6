"""Every line of an invoice: quantity times price is its amount, as it is frozen and in the data of the PDF.

The rules of EN 16931 in the official validator check sums of amounts, but not quantity times price.
"""

import json
from decimal import ROUND_HALF_UP
from decimal import Decimal as D
from typing import Any

import pytest
from lxml import etree

from jobs.documents.kit.einvoice import cii
from jobs.domain.billing.credits import credit_invoice
from jobs.domain.billing.invoice_commands import issue_deposit, issue_invoice
from jobs.domain.billing.prices import Line, set_price
from jobs.domain.workshop.commands import set_shop
from jobs.log.private_texts import read
from jobs.models import Paper
from tests.documents.shop import a_shop
from tests.shop_fixtures import Work, the_paper

pytestmark = pytest.mark.django_db
RAM = "{urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100}"
Row = tuple[str, D, D, D]
"""Description, quantity, price of one, amount."""


def ordered(work: Work) -> str:
    """Return a commission with lines of two rates, one of them a return, and two deposits asked."""
    set_shop(work.call(), country="US", postcode="98101", city="Aldersey")
    piece = work.accepted()
    work.do_until(piece, "stock")
    number = piece.commission.number
    lines = [
        Line(description="Top as drawn", unit_price=D("1850"), tax_pct=D("8.25")),
        Line(description="Care kit", unit_price=D("12.3456"), quantity=D("2.5"), tax_pct=D(6)),
        Line(description="Old top taken back", unit_price=D(10), quantity=D(-1), tax_pct=D(6)),
    ]
    set_price(work.call(), commission=number, lines=lines)
    for pct in (D(30), D(20)):
        issue_deposit(work.call(), commission=number, pct=pct)
    return number


def frozen(paper: Paper) -> dict[str, Any]:
    return json.loads(read(paper.frozen_ref))  # type: ignore[no-any-return]


def frozen_rows(content: dict[str, Any]) -> list[Row]:
    return [
        (line["description"], D(line["quantity"]), D(line["unit_price"]), D(line["amount"]))
        for line in content["lines"]
    ]


def xml_rows(content: dict[str, Any]) -> list[Row]:
    """Return the lines of the data as a reader of the standard finds them: BT-153, BT-129, BT-146, BT-131."""
    names = ("Name", "BilledQuantity", "ChargeAmount", "LineTotalAmount")
    lines = etree.fromstring(cii(content)).iter(f"{RAM}IncludedSupplyChainTradeLineItem")
    found = [[line.find(f".//{RAM}{name}").text for name in names] for line in lines]
    return [(name, D(quantity), D(price), D(amount)) for name, quantity, price, amount in found]


def check(rows: list[Row]) -> None:
    """Check each row by the arithmetic of BT-131: price times quantity, a half away from zero."""
    assert rows
    for name, quantity, price, amount in rows:
        assert (quantity * price).quantize(D("0.01"), ROUND_HALF_UP) == amount, name
        assert price >= 0, "BR-27: a price is not negative"


def test_quantity_times_price_is_the_amount_on_every_line_also_of_what_is_taken_off():
    work = a_shop()
    number = ordered(work)
    whole = the_paper(issue_invoice(work.call(), commission=number))
    note = the_paper(credit_invoice(work.call(), paper=whole.number, reason="the wrong rate"))
    papers = [*Paper.objects.filter(what="deposit"), whole, note]
    assert len(papers) == 4
    for paper in papers:
        content = frozen(paper)
        check(frozen_rows(content))
        check(xml_rows(content))
        told = [(name.partition("\n")[0], *rest) for name, *rest in frozen_rows(content)]
        assert xml_rows(content) == told


# By hand: 1850 at 8.25 % is 152.625 = 152.63 of tax; 12.3456 x 2.5 = 30.864 = 30.86, less 10 is 20.86, at 6 %
# 1.2516 = 1.25; together 2002.63 + 22.11 = 2024.74. 30 %: of 2002.63, 600.789 = 600.79; of 2024.74, 607.422
# = 607.42, so 6.63 for the second rate. 600.79 / 1.0825 = 555.0023 and 6.63 / 1.06 = 6.2547. 20 %: 400.526 =
# 400.53 and 404.948 = 404.95, so 4.42; 400.53 / 1.0825 = 370.0046 and 4.42 / 1.06 = 4.1698.
OFF = [("1", "555.00"), ("1", "6.25"), ("2", "370.00"), ("2", "4.17")]


def test_a_deposit_is_taken_off_as_one_less_of_what_it_asked_for_to_the_cent():
    work = a_shop()
    content = frozen(the_paper(issue_invoice(work.call(), commission=ordered(work))))
    expected = [
        (f"Less deposit invoice I2026-000{n}", D(-1), D(price), -D(price)) for n, price in OFF
    ]  # fmt: skip
    assert xml_rows(content)[3:] == expected
    assert sum(row[3] for row in xml_rows(content)) == D("1850.00") + D("20.86") - D("935.42")
