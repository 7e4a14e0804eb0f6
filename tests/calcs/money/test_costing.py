from dataclasses import replace
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs.kit.errors import OutOfRange, Unknown, Unreadable
from calcs.money.costing import costing
from calcs.money.costing_inputs import Costing, Labour, Material


def bought(price, quantity="1", kind="other", **more):
    return Material(kind=kind, quantity=D(quantity), unit="piece", unit_price=D(price), **more)


# By hand: 62.5 board ft at 9.75 = 609.375 -> 609.38; 2 qt at 18.205 = 36.41; 14.5 h at 65 = 942.50;
# 3 h at 80 = 240.00. Materials 645.79, labour 1182.50, together 1828.29; 15 % overhead 274.2435 -> 274.24;
# cost 2102.53.
# Markup 30 %: 630.759 -> 630.76; 2733.29. To the nearest 25: 2725; 8.25 % tax 224.8125 -> 224.81; 2949.81;
# deposit of half 1474.905 -> 1474.91.
TOP = Costing(
    materials=(
        Material(kind="lumber", quantity=D("62.5"), unit="board ft", unit_price=D("9.75"), what="walnut"),
        Material(kind="finish", quantity=D(2), unit="qt", unit_price=D("18.205")),
    ),
    labour=(Labour(stage="milling", hours=D("14.5")), Labour(stage="finishing", hours=D(3), rate=D(80))),
    rate=D(65),
    overhead_pct=D(15),
    profit_pct=D(30),
    tax_pct=D("8.25"),
    round_to=D(25),
)


def test_a_price_by_hand():
    found = costing(TOP)
    assert [line.amount for line in found.lines] == [
        D("609.38"), D("36.41"), D("942.50"), D("240.00"), D("274.24"), D("630.76"), D("-8.29"),
    ]  # fmt: skip
    assert (found.materials, found.labour, found.hours) == (D("645.79"), D("1182.50"), D("17.5"))
    assert (found.overhead, found.cost, found.price) == (D("274.24"), D("2102.53"), D("2725.00"))
    assert (found.tax, found.gross, found.deposit) == (D("224.81"), D("2949.81"), D("1474.91"))
    assert found.profit == D("2725.00") - D("2102.53")
    assert (found.markup_pct, found.margin_pct) == (D("29.6"), D("22.8"))  # 622.47 / 2102.53, / 2725
    assert "no line for: glue, hardware, abrasives" in found.notes
    assert all(line.why for line in found.lines)


def test_overhead_may_rest_on_labour_alone():
    assert costing(replace(TOP, overhead_on="labour")).overhead == D("177.38")  # 15 % of 1182.50: 177.375


def test_without_a_tax_the_price_is_net():
    found = costing(replace(TOP, tax_pct=None, rounding="up"))
    assert (found.price, found.tax, found.gross) == (D("2750.00"), None, None)
    assert found.deposit == D("1375.00")
    assert "the invoice adds" in found.notes[0]


money = st.decimals("0", "5000", places=2)


@given(
    st.lists(st.tuples(money, st.decimals("0", "40", places=1)), min_size=1, max_size=6),
    st.decimals("0", "99", places=1),
    st.sampled_from(["markup", "margin"]),
    st.sampled_from(["0.01", "0.05", "1", "5", "25"]),
    st.sampled_from(["nearest", "up"]),
)
def test_lines_add_up_to_the_price(lines, percent, way, step, rounding):
    found = costing(
        Costing(
            materials=tuple(bought(price, quantity) for price, quantity in lines),
            overhead_pct=percent,
            profit_pct=percent,
            profit_as=way,
            round_to=D(step),
            rounding=rounding,
        )
    )
    assert sum(line.amount for line in found.lines) == found.price
    assert found.price % D(step) == 0
    for line in found.lines:
        assert abs(line.quantity * line.unit_price - line.amount) <= D("0.01")
    exact = found.cost * (1 + percent / 100) if way == "markup" else found.cost / (1 - percent / 100)
    low = 0 if rounding == "up" else -D(step) / 2
    assert low - D("0.01") <= found.price - exact <= D(step) + D("0.01")


@pytest.mark.parametrize(
    "changes, field, error",
    [
        ({"materials": (), "labour": ()}, "materials", OutOfRange),
        ({"rate": None}, "rate", OutOfRange),  # milling has no own rate
        ({"rate": D(-1)}, "rate", OutOfRange),
        ({"overhead_pct": D(-1)}, "overhead_pct", OutOfRange),
        ({"overhead_on": "rent"}, "overhead_on", Unknown),
        ({"profit_pct": D(-5)}, "profit_pct", OutOfRange),
        ({"profit_pct": D(100), "profit_as": "margin"}, "profit_pct", OutOfRange),
        ({"profit_as": "luck"}, "profit_as", Unknown),
        ({"deposit_pct": D(101)}, "deposit_pct", OutOfRange),
        ({"tax_pct": 8}, "tax_pct", Unreadable),  # no float and no int: decimals only
        ({"round_to": D(0)}, "round_to", OutOfRange),
        ({"round_to": D("0.015")}, "round_to", OutOfRange),
        ({"rounding": "down"}, "rounding", Unknown),
    ],
)
def test_nonsense_is_refused(changes, field, error):
    with pytest.raises(error) as caught:
        replace(TOP, **changes)
    assert caught.value.field == field and caught.value.allowed


@pytest.mark.parametrize(
    "changes, field",
    [({"quantity": D(-1)}, "quantity"), ({"unit_price": D(-1)}, "unit_price"), ({"unit": ""}, "unit")],
)
def test_a_line_below_nothing_is_refused(changes, field):
    with pytest.raises(OutOfRange) as caught:
        replace(bought("1"), **changes)
    assert caught.value.field == field
    with pytest.raises(OutOfRange) as caught:
        Labour(stage="sanding", hours=D(-1))
    assert caught.value.field == "hours"
