"""Shops whose truth the planner never sees: how long work takes, how the weather moves cures, who falls ill.

Everything is drawn from a seed. Ranges are common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, exp, sqrt
from random import Random

from calcs.planning.problem import Lag

DAY = 288
WEEKS = 60
HALF_DAYS = ((96, 144), (156, 204))
STAGES = (
    ("approve", "", 0), ("mill", "milling", 170), ("mill again", "milling", 120), ("joints", "joints", 130),
    ("glue", "gluing", 70), ("scrape", "scraping", 15), ("unclamp", "unclamping", 15),
    ("flatten", "flattening", 170), ("sand", "sanding", 190), ("coat 1", "coating", 40),
    ("coat 2", "coating", 40), ("coat 3", "coating", 40), ("rub", "rubbing", 60),
    ("deliver", "delivery", 110),
)  # fmt: skip
"""Stages of every commission with their kind and their usual minutes for a top of size 1."""
WAITS = (
    ("order", "approve", "answer", 3 * 24 * 60, None), ("mill", "mill again", "rest", 3 * 24 * 60, None),
    ("glue", "scrape", "", 20, 75), ("glue", "unclamp", "clamping", 5 * 60, None),
    ("glue", "flatten", "cure", 24 * 60, None), ("coat 1", "coat 2", "recoat", 5 * 60, None),
    ("coat 2", "coat 3", "recoat", 5 * 60, None), ("coat 3", "rub", "hardening", 48 * 60, None),
)  # fmt: skip
"""Waits with their kind, usual minutes, and the most they may take; without a kind they are as stated."""
FOLLOW = tuple((a[0], b[0]) for a, b in zip(STAGES, STAGES[1:], strict=False) if b[0] != "scrape")
KINDS = {kind: usual for _, kind, usual in STAGES if kind}
CURES = ("clamping", "cure", "recoat", "hardening")


@dataclass(frozen=True, slots=True)
class Past:
    """What the log of a shop holds: minutes by kind for size 1, minutes of waits by kind, half-days lost."""

    minutes: dict[str, list[float]]
    waits: dict[str, list[float]]
    half_days: int
    lost: int
    losses: int


class Truth:
    """A shop as it is."""

    def __init__(self, seed: int) -> None:
        self.dice = dice = Random(f"shop {seed}")
        self.people = ("Ann", "Ben")[: 1 + dice.randrange(2)]
        speed = dice.gauss(0, 0.25)
        self.median = {kind: usual * exp(speed + dice.gauss(0, 0.2)) for kind, usual in KINDS.items()}
        self.log_sd = {kind: dice.uniform(0.2, 0.5) for kind in KINDS}
        self.job_log_sd = dice.uniform(0.08, 0.2)
        self.wait = {kind: usual * exp(dice.gauss(0, 0.15)) for *_, kind, usual, _ in WAITS if kind}
        self.wait_log_sd = {kind: 0.6 if kind == "answer" else dice.uniform(0.05, 0.12) for kind in self.wait}
        self.wait_log_sd["rest"] = 0.02
        self.weather_log_sd = dice.uniform(0.05, 0.18)
        self.lost_share = dice.uniform(0.01, 0.07)
        self.lost_length = dice.uniform(1, 5)
        self.gap_days = dice.uniform(1.05, 1.35) * sum(self.median.values()) * 1.35 / 480 / len(self.people)
        self.weather = self._weather(WEEKS * 7 + 400)
        self.absent = {person: self._lost(WEEKS * 10) for person in self.people}

    def _weather(self, days: int) -> list[float]:
        """Return a logarithm for each day: cold weeks lengthen cures, warm ones shorten them."""
        found = [self.dice.gauss(0, self.weather_log_sd)]
        for _ in range(days):
            found.append(0.85 * found[-1] + self.dice.gauss(0, self.weather_log_sd * sqrt(1 - 0.85**2)))
        return found

    def _lost(self, half_days: int) -> set[int]:
        """Return the half-days that a person loses."""
        lost: set[int] = set()
        at = 0
        while at < half_days:
            at += ceil(self.dice.expovariate(self.lost_share / (self.lost_length * (1 - self.lost_share))))
            length = ceil(self.dice.expovariate(1 / self.lost_length))
            lost.update(range(at, min(half_days, at + length)))
            at += length
        return lost

    def job_factor(self) -> float:
        return self.dice.gauss(0, self.job_log_sd)

    def minutes(self, kind: str, size: float, job_factor: float) -> float:
        return size * self.median[kind] * exp(job_factor + self.dice.gauss(0, self.log_sd[kind]))

    def waited(self, kind: str, own: float, day: int) -> float:
        """Return the minutes of a wait that begins on a day; ``own`` are its standard deviations."""
        weather = self.weather[day] if kind in CURES else 0.0
        return self.wait[kind] * exp(weather + self.wait_log_sd[kind] * own)

    def past(self) -> Past:
        """Return the log of some jobs of the year before."""
        jobs = self.dice.randint(6, 24)
        factors = [self.job_factor() for _ in range(jobs)]
        days = [self.dice.randrange(WEEKS * 7, WEEKS * 7 + 400) for _ in range(jobs)]
        half_days = 120 * len(self.people)
        before = self._lost(half_days)
        return Past(
            minutes={
                kind: [self.minutes(kind, 1.0, factor) for factor in factors for _ in range(_times(kind))]
                for kind in KINDS
            },
            waits={
                kind: [self.waited(kind, self.dice.gauss(0, 1), day) for day in days] for kind in self.wait
            },
            half_days=half_days,
            lost=len(before),
            losses=sum(at - 1 not in before for at in before),
        )


def _times(kind: str) -> int:
    return sum(of == kind for _, of, _ in STAGES)


def lag_of(number: int, first: str, then: str, least: float, most: float | None) -> Lag:
    """Return a wait [min] of a commission as a lag."""
    return Lag(
        first=f"{number} {first}", then=f"{number} {then}", least=round(least / 5),
        most=None if most is None else round(most / 5),
    )  # fmt: skip


def open_slots(weeks: Sequence[int]) -> int:
    """Return the working slots of so many weeks, from Monday to Friday."""
    found = 0
    for week in weeks:
        for day in range(5):
            for first, last in HALF_DAYS:
                at = (week * 7 + day) * DAY
                found |= ((1 << (last - first)) - 1) << (at + first)
    return found
