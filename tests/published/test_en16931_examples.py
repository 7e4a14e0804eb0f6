"""EN 16931, the four official examples: CEN/TC 434 validation artefacts v1.3.16 (10 April 2026); the file of
each is in its row. To the cent: nothing is allowed.
"""

from decimal import Decimal

import pytest

from calcs.money.invoice import Amount, Invoice, invoice_sums, line_net
from tests.published.printed import rows

SOURCE = "EN 16931, official examples (CEN/TC 434, 2026)"
ROWS = rows("invoice")
EXAMPLES = {name: [row for row in ROWS if row["example"] == name] for name in "ABCD"}
TERMS = {
    "BT-106": "lines",
    "BT-107": "allowances",
    "BT-108": "charges",
    "BT-109": "net",
    "BT-110": "tax",
    "BT-112": "gross",
    "BT-113": "paid",
    "BT-115": "due",
}
APART = {("A", "1"), ("B", "1"), ("B", "2")}  # printed amounts that are not quantity x price, by design


def amounts(name, kind):
    return tuple(
        Amount(
            net=Decimal(row["amount"]), category=row["vat_category"], rate_pct=Decimal(row["vat_rate_pct"])
        )
        for row in EXAMPLES[name]
        if row["row_type"] == kind
    )


def sums(name):
    paid = [row["amount"] for row in EXAMPLES[name] if row["bt"] == "BT-113"]
    return invoice_sums(
        Invoice(
            lines=amounts(name, "line"),
            allowances=amounts(name, "allowance"),
            charges=amounts(name, "charge"),
            paid=Decimal(paid[0] if paid else 0),
        )
    )


def to_the_cent(agrees, row, ours):
    agrees(
        calculation="invoices",
        kind="computed",
        ours=ours,
        printed=row["amount"],
        within=0,
        source=SOURCE,
        seen=row["provenance"],
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_totals(agrees, name):
    found = sums(name)
    printed = [row for row in EXAMPLES[name] if row["row_type"] == "total"]
    assert {"BT-106", "BT-109", "BT-110", "BT-112", "BT-115"} <= {row["bt"] for row in printed}
    for row in printed:
        to_the_cent(agrees, row, getattr(found, TERMS[row["bt"]]))


@pytest.mark.parametrize("name", EXAMPLES)
def test_tax_per_category_and_rate(agrees, name):
    found = {(tax.category, str(tax.rate_pct)): tax for tax in sums(name).taxes}
    printed = [row for row in EXAMPLES[name] if row["row_type"] == "vat_breakdown"]
    assert {(row["vat_category"], row["vat_rate_pct"]) for row in printed} == set(found)
    for row in printed:
        tax = found[row["vat_category"], row["vat_rate_pct"]]
        to_the_cent(agrees, row, {"BT-116": tax.base, "BT-117": tax.tax}[row["bt"]])


@pytest.mark.parametrize(
    "row",
    [row for row in ROWS if row["row_type"] == "line" and (row["example"], row["id"]) not in APART],
    ids=lambda row: f"{row['example']}{row['id']}",
)
def test_amounts_of_lines(agrees, row):
    net = line_net(
        quantity=Decimal(row["quantity"]),
        unit_price=Decimal(row["unit_price"]),
        per=Decimal(row["price_base_quantity"] or 1),
    )
    to_the_cent(agrees, row, net)
