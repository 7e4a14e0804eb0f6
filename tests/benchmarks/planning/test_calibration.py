"""The simulated shops of the calibration: they live, and what is counted is what happened."""

import pytest

from .calibration import HEADER, Date, dates_of, rows
from .lives import Shop
from .truths import DAY, STAGES, WAITS


def test_a_shop_delivers_every_order_after_all_its_stages_and_waits() -> None:
    orders = Shop(3).live(3)
    for order in orders:
        assert {name for name, _, _ in STAGES} <= set(order.ended)
        for first, then, kind, least, _ in WAITS:
            if not kind:
                assert order.began[then] - order.ended[first] >= least / 5
        assert order.done == max(order.ended.values())
    dates = dates_of(3, 3)
    kept = {
        order.number: order.done is not None and order.done <= (order.dates["plan"] or 0) * DAY
        for order in orders
    }
    assert [date.kept for date in dates if date.method == "plan"] == list(kept.values())


def test_rows_count_kept_dates_by_method() -> None:
    dates = [
        Date(seed, "80 %", late <= 0, 20, late)
        for seed, late in ((1, -3.0), (1, 2.0), (2, -1.0), (2, 0.0), (2, 4.0))
    ] + [Date(1, "95 %", True, 30, -9.0)]
    first, second = rows(dates)
    assert dict(zip(HEADER, first, strict=True)) == {
        "date": "80 %", "kept": pytest.approx(0.6), "standard error": pytest.approx((2 / 3 - 1 / 2) / 2),
        "wanted": "0.75 to 0.85", "promises": 5, "days ahead": "20.0", "days late where missed": "3.0",
    }  # fmt: skip
    assert second[:3] == ("95 %", 1.0, 0.0)
