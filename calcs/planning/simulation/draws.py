"""Draws of what a simulation does not know: attended work, waits, lost half-days. A key draws alike in every
problem, so two problems differ by what was changed and not by luck.
"""

from bisect import bisect_left, bisect_right
from dataclasses import replace
from math import exp, log, sqrt
from operator import itemgetter
from random import Random

from calcs.planning.problem import SLOT_MINUTES, Lag, Task
from calcs.planning.simulation.calendars import Windows
from calcs.planning.spreads import Spread, Uncertainty


class Draws:
    """Logarithms that tasks and waits share in each of ``runs`` runs, and the draws of each by its key."""

    def __init__(self, doubts: Uncertainty, runs: int, seed: int) -> None:
        self.doubts, self.runs, self.seed = doubts, runs, seed
        self.shared: dict[str, list[float]] = {}

    def normal(self, key: str) -> list[float]:
        """Return a standard normal value for each run."""
        dice = Random(f"{self.seed} {key}")
        return [dice.gauss(0.0, 1.0) for _ in range(self.runs)]

    def of_all(self, key: str, log_sd: float) -> list[float]:
        """Return the logarithm in each run that all share who name ``key``."""
        if key not in self.shared:
            self.shared[key] = [log_sd * value for value in self.normal(key)]
        return self.shared[key]

    def of_kind(self, spread: Spread, alone: str) -> list[float]:
        """Return the logarithm in each run by which the median of its kind is wrong."""
        return self.of_all(f"kind {spread.kind or alone} {spread.kind_sd}", spread.kind_sd)

    def work(self, task: Task) -> list[int]:
        """Return the slots that a task takes in each run."""
        spread = self.doubts.tasks.get(task.key)
        if spread is None or not task.slots:
            return [task.slots] * self.runs
        shared = zip(
            self.of_all("shop", self.doubts.shop_log_sd),
            self.of_all(f"job {task.job}", self.doubts.job_log_sd),
            self.of_kind(spread, task.key),
            strict=True,
        )
        spread = _alone(spread, self.doubts.job_log_sd)
        own = self.normal(f"task {task.key}")
        drawn = (spread.minutes(mine, sum(logs)) for mine, logs in zip(own, shared, strict=True))
        return [max(1, round(minutes / SLOT_MINUTES)) for minutes in drawn]

    def wait(self, lag: Lag) -> list[int]:
        """Return the slots that must pass at least in each run."""
        spread = self.doubts.lags.get((lag.first, lag.then))
        if spread is None:
            return [lag.least] * self.runs
        alone = f"{lag.first} {lag.then}"
        shared = zip(self.of_all("waits", self.doubts.waits_log_sd), self.of_kind(spread, alone), strict=True)
        spread = _alone(spread, self.doubts.waits_log_sd)
        own = self.normal(f"wait {alone}")
        drawn = (spread.minutes(mine, sum(logs)) for mine, logs in zip(own, shared, strict=True))
        return [round(minutes / SLOT_MINUTES) for minutes in drawn]

    def lost(self, person: str, windows: Windows) -> list[set[int]]:
        """Return the numbers of the windows that a person loses, in each run."""
        dice = Random(f"{self.seed} person {person}")
        losses = self.doubts.interruptions
        unsure = self.of_all("losses", losses.log_sd)
        shares = (min(0.6, losses.lost_pct / 100 * exp(value)) for value in unsure)
        return [_lost(dice, share, losses.half_days, len(windows)) for share in shares]


def _alone(spread: Spread, shared_log_sd: float) -> Spread:
    """Return a spread without what is shared of it: what a log says of a kind holds both."""
    return replace(spread, log_sd=sqrt(max(0.0, spread.log_sd**2 - shared_log_sd**2)))


def _lost(dice: Random, share: float, length: float, windows: int) -> set[int]:
    """Return which of ``windows`` are lost: losses begin by chance and last by chance, without memory."""
    if not share:
        return set()
    begins = share / ((1 - share) * length)
    lost: set[int] = set()
    at = 0 if dice.random() < share else 1 + _until(dice, begins)
    while at < windows:
        lasts = 1 + _until(dice, 1 / length)
        lost.update(range(at, min(windows, at + lasts)))
        at += lasts + _until(dice, begins) + 1
    return lost


def _until(dice: Random, chance: float) -> int:
    """Return how often something with this chance fails before it happens."""
    return 0 if chance >= 1 else int(log(1.0 - dice.random()) / log(1.0 - chance))


def without(windows: Windows, lost: Windows) -> Windows:
    """Return the windows less what is lost of them."""
    left = list(windows)
    for first, last in lost:
        at = bisect_right(left, first, key=itemgetter(1))
        end = bisect_left(left, last, key=itemgetter(0))
        cut = [(begin, min(stop, first)) for begin, stop in left[at:end] if begin < first]
        left[at:end] = cut + [(max(begin, last), stop) for begin, stop in left[at:end] if stop > last]
    return left
