from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.money.invoice import Amount, Invoice, invoice_sums, line_net

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
