"""How often promised dates were kept in simulated shops, beside dates that know nothing of chance."""

from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from statistics import fmean, stdev

from .lives import Shop
from .truths import DAY

ORDERS = 16
"""Orders of a shop: the first five are there on the first day, the others come while it works."""
UNSEEN = range(1001, 1031)
"""Shops that were not looked at while the simulation was made: that was on shops 1 to 20."""
HEADER = ("date", "kept", "standard error", "wanted", "promises", "days ahead", "days late where missed")
WANTED = {"80 %": "0.75 to 0.85", "95 %": "at least 0.92"}


@dataclass(frozen=True, slots=True)
class Date:
    """A date of an order by one method: whether it was kept, days from the order, days it was late."""

    seed: int
    method: str
    kept: bool
    ahead: int
    late: float


def dates_of(seed: int, orders: int = ORDERS) -> list[Date]:
    """Return every date of a shop that lived through its orders. A date beyond the horizon is none."""
    found = []
    for order in Shop(seed).live(orders):
        names = {"promised": f"{order.share * 100:.0f} %"}
        for method, day in order.dates.items():
            if day is not None and order.done is not None:
                late = order.done / DAY - day
                ahead = day - order.placed // DAY
                found.append(Date(seed, names.get(method, method), late <= 0, ahead, late))
    return found


def lived(seeds: Iterable[int], orders: int = ORDERS, workers: int = 2) -> list[Date]:
    """Return the dates of many shops, each lived through in one of the worker processes."""
    seeds = list(seeds)
    with ProcessPoolExecutor(workers) as pool:
        return [date for dates in pool.map(dates_of, seeds, [orders] * len(seeds)) for date in dates]


def rows(dates: Sequence[Date]) -> list[tuple[object, ...]]:
    """Return a row for each method. The standard error is that of the means of the shops."""
    methods = dict.fromkeys(["80 %", "95 %", *(date.method for date in dates)])
    return [_row(method, [date for date in dates if date.method == method]) for method in methods]


def _row(method: str, dates: Sequence[Date]) -> tuple[object, ...]:
    seeds = dict.fromkeys(date.seed for date in dates)
    shares = [fmean(date.kept for date in dates if date.seed == seed) for seed in seeds]
    missed = [date.late for date in dates if not date.kept]
    error = stdev(shares) / len(shares) ** 0.5 if len(shares) > 1 else 0.0
    return (
        method, fmean(date.kept for date in dates), error, WANTED.get(method, ""), len(dates),
        f"{fmean(date.ahead for date in dates):.1f}", f"{fmean(missed):.1f}" if missed else "",
    )  # fmt: skip
