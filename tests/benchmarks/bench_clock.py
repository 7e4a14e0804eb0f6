"""Wait estimates against simulated shops (``shops.py``): error, coverage of the range, how often too early.

The estimator, its laws, range and time shown are the service's own; only the readings come from memory.
"""

import random
from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from decimal import Decimal
from functools import cached_property
from statistics import fmean, median
from types import SimpleNamespace
from typing import Any

import pytest

from calcs.curing.series import DAY, Pair
from calcs.kit.units import UNITS_PER_INCH
from calcs.materials.product_sheets import finish_classes, glue_classes
from jobs.domain.climate.air_history import habit_span
from jobs.domain.climate.clocked_wait import CLOCK_FIELDS, Estimate
from jobs.domain.climate.wait_estimates import WaitEstimator
from jobs.domain.stock.product_sheets import Product
from jobs.domain.waits.route import SCRAPE, look_at
from tests.benchmarks.shops import (
    DAY_S,
    FIRST_S,
    HISTORY_D,
    KINDS,
    LAWS,
    SPAN,
    STEP_S,
    TICK_S,
    Cure,
    Truth,
    a_shop,
    grown,
)

SHOPS, SEED = 60, 5
THICK = UNITS_PER_INCH * 7 // 4
COOL = "epoxy for cool shops"
ASKED = (
    ("glue.unclamp", "epoxy"), ("glue.unclamp", COOL), ("glue.machine", COOL),
    ("finish.recoat", "oil-varnish"), ("finish.recoat", "oil-polyurethane"),
)  # fmt: skip
"""Waits of the classes that have a rate law by temperature, the class sheets and one of a cooler epoxy."""


class Simulated(WaitEstimator):
    """The estimator of a shop whose readings are a dict, seen at a moment."""

    def __init__(self, said: dict[int, Pair], product: Product, begin: int, now: int) -> None:
        self.made: dict[Any, Any] = {}
        self.begin, self.places = begin - DAY, ["shop"]
        self.said = {step: pair for step, pair in said.items() if step < now}
        self.sheet = product

    def product(self, kind: str, key: str, version: int) -> Product:
        return self.sheet

    def last(self, place: str) -> int | None:
        return max(self.said, default=None)

    def measured(self, place: str, last: int) -> dict[int, Pair]:
        first = min(self.begin, habit_span(last))
        return {step: self.said[step] for step in sorted(self.said) if step >= first}

    def usual(self) -> Pair:
        return 20.0, 45.0

    def put_right(self, wait: Any) -> list[str]:
        return []


@dataclass(frozen=True, kw_only=True)
class Case:
    """One wait in one shop: what is true of it, and the estimator to ask."""

    truth: Truth
    product: Product
    word: str
    since_s: int
    need_s: int
    ready_s: float
    stops: bool

    def asked_at(self, moment_s: float) -> Estimate:
        """Return the estimate at a moment."""
        clock = Simulated(self.truth.said, self.product, self.since_s // STEP_S, int(moment_s // STEP_S))
        stage = SimpleNamespace(
            spec={"waits": [{"kind": self.kind, "clock": self.word}]},
            piece=SimpleNamespace(inputs={"thickness_len": THICK}),
        )
        closes = CLOCK_FIELDS[self.word][1]
        closes_s = getattr(self.product.sheet, closes) if closes else None
        basis = {"product": "p", "sheet_version": 1, "temp_c": "20", "rh_pct": "45"}
        wait: Any = SimpleNamespace(
            suspect=False, ready_s=self.need_s, closes_s=closes_s, basis=basis, stage=stage, kind=self.kind,
            since=datetime.fromtimestamp(self.since_s, tz=UTC),
        )  # fmt: skip
        return clock.estimate(wait)

    @property
    def kind(self) -> str:
        return SCRAPE if self.word == "glue.scrape" else "it"

    @cached_property
    def told_s(self) -> float | None:
        """Return when the shop hears that it is ready; None if it does not."""
        return self._first(lambda said: said.ready_at)

    @cached_property
    def heard_s(self) -> float | None:
        """Return the same, or when the shop is asked to look."""
        wait: Any = SimpleNamespace(kind=self.kind)
        return self._first(lambda said: look_at(wait, said) or said.ready_at)

    def _first(self, told: Callable[[Any], datetime | None]) -> float | None:
        """Return the first moment at which the estimate says ready, asking at least once an hour."""
        now = self.since_s + 0.5 * self.need_s
        while now < FIRST_S + (SPAN - 1) * TICK_S:
            said = self.asked_at(now)
            if said.suspect:
                return None
            ready = told(said)
            if ready is not None and ready.timestamp() <= now:
                return now
            ahead = ready.timestamp() if ready is not None else now + 3600
            now = min(max(ahead, now + 60), now + 3600)
        return None


def cases(kind: str, draw: random.Random) -> Iterator[Case]:
    for n in range(SHOPS):
        since = HISTORY_D * DAY_S // TICK_S + draw.randrange(8 * 12, 18 * 12)
        word, family = ASKED[n % len(ASKED)]
        truth = a_shop(draw, kind, since)
        product = _product(word, family)
        opens = CLOCK_FIELDS[word][0]
        need = getattr(product.sheet, opens)
        stops = n % 2 == 0
        cure = draw.choice(LAWS)(draw, float(product.sheet.ref_temp_c))
        cure = stopping(cure, product) if stops else cure
        ages = grown(truth, cure, since, lagging=word.startswith("glue"))
        reached = bisect_left(ages, need)
        if reached < SPAN - since - DAY_S // TICK_S:
            begun = FIRST_S + since * TICK_S
            share = (need - ages[reached - 1]) / (ages[reached] - ages[reached - 1])
            yield Case(
                truth=truth, product=product, word=word, since_s=begun, need_s=need, stops=stops,
                ready_s=begun + (reached - 1 + share) * TICK_S,
            )  # fmt: skip


def stopping(cure: Cure, product: Product) -> Cure:
    """Return the cure stopped below the product's least temperature, as the trade has it."""
    least = float(product.sheet.min_temp_c)
    return replace(cure, speed=lambda c, h: 0.0 if c < least else cure.speed(c, h))


def _product(word: str, family: str) -> Product:
    if word.startswith("glue"):
        sheet = glue_classes()["epoxy"]
        if family == COOL:
            sheet = replace(sheet, unclamp_s=12 * 3600, min_temp_c=Decimal(5), ref_temp_c=Decimal(20))
        return Product(key="p", version=1, glue=sheet)
    coat = next(f for f in finish_classes().values() if f.family == family)
    return Product(key="p", version=1, finish=replace(coat, recoat_to_s=None))


@dataclass(kw_only=True)
class Score:
    """The results for the waits of one kind of shop, in hours; times shown as shares of the wait."""

    fixed: list[float] = field(default_factory=list)
    off: dict[int, list[float]] = field(default_factory=lambda: {25: [], 50: [], 75: []})
    sooner: int = 0
    later: int = 0
    early: list[float] = field(default_factory=list)
    late: list[float] = field(default_factory=list)
    never: int = 0

    def add(self, case: Case) -> None:
        whole = case.ready_s - case.since_s
        self.fixed.append(abs(case.need_s - whole) / 3600)
        for share, rows in self.off.items():
            said = case.asked_at(case.since_s + whole * share / 100)
            if said.likely_at is None or said.earliest_at is None:
                continue  # it stands still for good, as far as is known
            rows.append(abs(said.likely_at.timestamp() - case.ready_s) / 3600)
            self.sooner += case.ready_s < said.earliest_at.timestamp()
            self.later += said.latest_at is not None and said.latest_at.timestamp() < case.ready_s
        told = case.told_s
        if told is None:
            self.never += 1
        elif told < case.ready_s:
            self.early.append((case.ready_s - told) / whole)
        else:
            self.late.append((told - case.ready_s) / 3600)

    def tell(self, what: str) -> None:
        count, asked = len(self.fixed), sum(len(rows) for rows in self.off.values())
        shares = "; ".join(
            f"at {s} % {fmean(rows):.1f} h off, {fmean(self.fixed) / fmean(rows):.1f} times closer (median"
            f" {median(self.fixed) / median(rows):.1f})"
            for s, rows in self.off.items()
        )
        print(
            f"\n{what}, {count} waits: the sheet's own time is {fmean(self.fixed):.1f} h off; {shares};"
            f" within the range {100 * (1 - (self.sooner + self.later) / asked):.0f} %, sooner"
            f" {100 * self.sooner / asked:.0f} %, later {100 * self.later / asked:.0f} %;"
            f" told too early {len(self.early)} ({100 * len(self.early) / count:.1f} %, by at most"
            f" {100 * max(self.early, default=0):.1f} % of the wait), else {median(self.late):.1f} h after;"
            f" never told {self.never}",
            end="",
        )


@pytest.mark.parametrize("kind", KINDS)
def bench_backtest(kind: str) -> None:
    draw = random.Random(f"{SEED} {kind}")
    scores = {True: Score(), False: Score()}
    for case in cases(kind, draw):
        scores[case.stops].add(case)
    scores[True].tell(f"{kind}, nothing hardens below the sheet's least temperature")
    scores[False].tell(f"{kind}, it goes on slowly there")
