import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calcs.invoice
from calcs.errors import OutOfRange, Unknown, Unreadable
from calcs.invoice import Amount, Invoice, invoice_sums, line_net
from tests.calcs.printed import rows

EXAMPLES = {name: [row for row in rows("invoice") if row["example"] == name] for name in "ABCD"}
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


# The four official examples of EN 16931: CEN/TC 434 validation artefacts v1.3.16, 2026-04-10 (read); file of
# each in tables/invoice.csv. To the cent.
@pytest.mark.parametrize("name", EXAMPLES)
def test_totals_match_the_official_examples(name):
    found = sums(name)
    printed = [row for row in EXAMPLES[name] if row["row_type"] == "total"]
    assert {"BT-106", "BT-109", "BT-110", "BT-112", "BT-115"} <= {row["bt"] for row in printed}
    for row in printed:
        assert str(getattr(found, TERMS[row["bt"]])) == row["amount"], row["bt"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_tax_per_category_and_rate_matches_the_official_examples(name):
    printed = [
        (row["vat_category"], row["vat_rate_pct"], row["bt"], row["amount"])
        for row in EXAMPLES[name]
        if row["row_type"] == "vat_breakdown"
    ]
    found = []
    for tax in sums(name).taxes:
        found += [
            (tax.category, str(tax.rate_pct), bt, str(value))
            for bt, value in (("BT-116", tax.base), ("BT-117", tax.tax))
        ]
    assert sorted(found) == sorted(printed)


# Lines whose printed amount is quantity x price (some of the official ones are not, by design).
@pytest.mark.parametrize(
    "row",
    [
        row
        for row in rows("invoice")
        if row["row_type"] == "line"
        and (row["example"], row["id"]) not in {("A", "1"), ("B", "1"), ("B", "2")}
    ],
    ids=lambda row: f"{row['example']}{row['id']}",
)
def test_line_amounts_match_the_official_examples(row):
    net = line_net(
        quantity=Decimal(row["quantity"]),
        unit_price=Decimal(row["unit_price"]),
        per=Decimal(row["price_base_quantity"] or 1),
    )
    assert str(net) == row["amount"]


CENTS = st.decimals(min_value=-100000, max_value=100000, places=2)
RATES = st.sampled_from([Decimal(rate) for rate in ("0", "5.3", "6.25", "8.875", "19", "25")])
LINES = st.lists(st.builds(Amount, net=CENTS, rate_pct=RATES), min_size=1, max_size=40)


# BR-CO-13 to BR-CO-16 hold whatever the lines.
@given(LINES, st.decimals(min_value=0, max_value=1000, places=2))
def test_the_totals_hang_together(lines, paid):
    found = invoice_sums(Invoice(lines=tuple(lines), paid=paid))
    assert found.lines == sum(line.net for line in lines)
    assert found.net == sum(tax.base for tax in found.taxes)
    assert found.gross == found.net + sum(tax.tax for tax in found.taxes)
    assert found.due == found.gross - paid
    for tax in found.taxes:
        assert abs(tax.tax - tax.base * tax.rate_pct / 100) <= Decimal("0.005")


def test_rounding_is_added_to_what_is_due():
    line = Amount(net=Decimal("10.02"), category="O", rate_pct=Decimal(0))
    found = invoice_sums(Invoice(lines=(line,), rounding=Decimal("-0.02")))
    assert (found.due, found.rounding) == (Decimal("10.00"), Decimal("-0.02"))


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"net": Decimal("1.005")}, "net", OutOfRange),
        ({"net": Decimal("NaN")}, "net", Unreadable),
        ({"net": 10.0}, "net", Unreadable),
        ({"net": Decimal("1E+12")}, "net", OutOfRange),
        ({"category": "X"}, "category", Unknown),
        ({"rate_pct": Decimal(-1)}, "rate_pct", OutOfRange),
        ({"rate_pct": Decimal(101)}, "rate_pct", OutOfRange),
        ({"category": "E"}, "rate_pct", OutOfRange),
    ],
)
def test_an_amount_that_cannot_be(changes, field, error):
    with pytest.raises(error) as caught:
        Amount(**{"net": Decimal("10.00"), "category": "S", "rate_pct": Decimal(20), **changes})
    assert caught.value.field == field and (caught.value.allowed or error is Unreadable)


GOOD = Amount(net=Decimal("10.00"), rate_pct=Decimal(20))
BACK = Amount(net=Decimal("-1.00"), rate_pct=Decimal(20))


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"lines": ()}, "lines"),
        ({"lines": (GOOD,) * 1001}, "lines"),
        ({"allowances": (BACK,)}, "allowances"),
        ({"charges": (BACK,)}, "charges"),
        ({"paid": Decimal("-0.01")}, "paid"),
        ({"paid": Decimal("0.001")}, "paid"),
        ({"rounding": Decimal("1.01")}, "rounding"),
    ],
)
def test_an_invoice_that_cannot_be(changes, field):
    with pytest.raises(OutOfRange) as caught:
        Invoice(**{"lines": (GOOD,), **changes})
    assert caught.value.field == field


# BR-27: a price is never negative; what is taken back has a negative quantity.
def test_a_price_is_never_negative():
    with pytest.raises(OutOfRange) as caught:
        line_net(quantity=Decimal(1), unit_price=Decimal("-3.96"))
    assert caught.value.field == "unit_price"


def test_docstring_examples():
    assert doctest.testmod(calcs.invoice).failed == 0
