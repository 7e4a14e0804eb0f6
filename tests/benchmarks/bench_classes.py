"""Wait estimates against simulated shops, for classes without a rate law by temperature.

These are products that dry, take water from the air or give it to the wood; whether cold spoilt them; and
windows that close.
"""

import random
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from statistics import fmean, median

import pytest

from calcs.curing.hardening import SET_BY
from calcs.materials.product_sheets import finish_classes, glue_classes
from jobs.domain.climate.clocked_wait import CLOCK_FIELDS
from jobs.domain.stock.product_sheets import Product
from tests.benchmarks.bench_clock import Case, Score, stopping
from tests.benchmarks.shops import (
    DAY_S,
    DRIES,
    FIRST_S,
    HISTORY_D,
    INTO_WOOD,
    KINDS,
    LAWS,
    SPAN,
    TAKES_WATER,
    TICK_S,
    Form,
    a_shop,
    around,
    grown,
)

OF_EACH, SEED = 30, 11
"""Waits of a class in each kind of shop."""
SAFE_C = 4.0
"""Largest difference by which a product may really bear more cold than its sheet says [K]."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A wait of a class, the laws that may be true of it, and whether cold spoils or stops it."""

    word: str
    family: str
    forms: Sequence[Form]
    spoils: bool = True
    stops: bool = False

    @property
    def product(self) -> Product:
        if self.word.startswith("glue"):
            return Product(key="p", version=1, glue=glue_classes()[self.family])
        coat = next(f for f in finish_classes().values() if f.family == self.family)
        return Product(key="p", version=1, finish=coat)


ASKED = {
    "white and yellow glue, clamps": Asked(word="glue.unclamp", family="pva", forms=INTO_WOOD),
    "one-part polyurethane, clamps": Asked(word="glue.unclamp", family="polyurethane", forms=TAKES_WATER),
    "water-borne finish, next coat": Asked(word="finish.recoat", family="water-borne", forms=DRIES),
    "oil polyurethane, next coat": Asked(
        word="finish.recoat", family="oil-polyurethane", forms=LAWS, spoils=False
    ),
    "oil polyurethane, next coat, cold stops it": Asked(
        word="finish.recoat", family="oil-polyurethane", forms=LAWS, spoils=False, stops=True
    ),
    "white and yellow glue, squeeze-out": Asked(word="glue.scrape", family="pva", forms=INTO_WOOD),
    "epoxy, squeeze-out": Asked(word="glue.scrape", family="epoxy", forms=LAWS, spoils=False),
    "epoxy, squeeze-out, cold stops it": Asked(
        word="glue.scrape", family="epoxy", forms=LAWS, spoils=False, stops=True
    ),
}


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """A case with its outcome: whether cold spoilt it, and when its window closed."""

    case: Case
    spoilt: bool
    closed_s: float | None


def outcomes(asked: Asked, kind: str, draw: random.Random) -> Iterator[Outcome]:
    product, sheet = asked.product, asked.product.sheet
    lagging = asked.word.startswith("glue")
    opens, closes = CLOCK_FIELDS[asked.word]
    for n in range(OF_EACH):
        since = HISTORY_D * DAY_S // TICK_S + draw.randrange(8 * 12, 18 * 12)
        truth = a_shop(draw, kind, since)
        cure = asked.forms[n % len(asked.forms)](draw, float(sheet.ref_temp_c))
        cure = stopping(cure, product) if asked.stops else cure
        ages = grown(truth, cure, since, lagging=lagging)
        set_at = bisect_left(ages, getattr(sheet, f"{SET_BY[lagging]}_s"))
        bears = float(sheet.min_temp_c) - draw.uniform(0, SAFE_C)
        cold = min(around(truth, lagging=lagging)[since : since + max(set_at, 1)]) < bears
        ready_s = _reached(ages, getattr(sheet, opens), since)
        closed_s = _reached(ages, getattr(sheet, closes), since) if closes else None
        if ready_s is None or (closes and closed_s is None):
            continue  # later than the simulation
        case = Case(
            truth=truth, product=product, word=asked.word, since_s=FIRST_S + since * TICK_S,
            need_s=getattr(sheet, opens), stops=asked.stops, ready_s=ready_s,
        )  # fmt: skip
        yield Outcome(case=case, spoilt=asked.spoils and cold, closed_s=closed_s)


def _reached(ages: list[float], need_s: float, since: int) -> float | None:
    """Return the moment of an age; None where it needs more than the simulated days less one."""
    n = bisect_left(ages, need_s)
    if n >= SPAN - since - DAY_S // TICK_S:
        return None
    share = (need_s - ages[n - 1]) / (ages[n] - ages[n - 1])
    return FIRST_S + (since + n - 1 + share) * TICK_S


@dataclass(kw_only=True)
class Spoilt:
    """What the estimates said of waits that cold spoilt, and of sound ones."""

    told_ready: int = 0
    warned: int = 0
    sound: int = 0
    called_suspect: int = 0

    def add(self, outcome: Outcome, told: float | None) -> None:
        if outcome.spoilt:
            self.told_ready += told is not None
            self.warned += told is None
        else:
            self.sound += 1
            self.called_suspect += told is None

    def tell(self) -> None:
        print(
            f"\n  spoilt by cold {self.told_ready + self.warned}, of them told ready {self.told_ready};"
            f" of {self.sound} sound ones called suspect {self.called_suspect}",
            end="",
        )


@dataclass(kw_only=True)
class Window:
    """What the estimates said of windows: when they open, and until when."""

    late: int = 0
    looked_late: int = 0
    unsure: int = 0
    past: int = 0
    left: list[float] = field(default_factory=list)

    def add(self, case: Case, closed_s: float, told: float) -> None:
        said = case.asked_at(told).closes_at
        assert said is not None
        until = said.timestamp()
        self.late += told >= closed_s
        self.looked_late += case.heard_s is None or case.heard_s >= closed_s
        self.unsure += until <= told < closed_s
        if told >= closed_s or until <= told:
            return
        self.past += until > closed_s
        begin, end = max(told, case.ready_s), min(until, closed_s)
        self.left.append(max(0.0, end - begin) / (closed_s - case.ready_s))

    def tell(self) -> None:
        count = self.late + self.unsure + len(self.left)
        print(
            f"\n  of {count} windows told when they were over {self.late}, first heard of then"
            f" {self.looked_late}, told with no time that is sure {self.unsure}, said to be open longer than"
            f" they were {self.past}; of the others"
            f" {100 * fmean(self.left):.0f} % of the true window was left to work in"
            f" (median {100 * median(self.left):.0f} %)",
            end="",
        )


@pytest.mark.parametrize("what", ASKED)
def bench_backtest_of_a_class(what: str) -> None:
    score, spoilt, windows = Score(), Spoilt(), Window()
    for kind in KINDS:
        for outcome in outcomes(ASKED[what], kind, random.Random(f"{SEED} {what} {kind}")):
            told = outcome.case.told_s
            spoilt.add(outcome, told)
            if outcome.spoilt or told is None:
                continue
            score.add(outcome.case)
            if outcome.closed_s is not None:
                windows.add(outcome.case, outcome.closed_s, told)
    score.tell(what)
    if ASKED[what].spoils:
        spoilt.tell()
    if windows.left:
        windows.tell()
