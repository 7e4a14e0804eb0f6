"""A run of the solver on a model: its limits, how it is stopped, what it tells on the way."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpSolver

from calcs.planning.problem import Plan
from calcs.planning.solving.model import Model

QUICK_S = 2.0
"""Below this a run goes without presolve, which would take most of the time."""
CRASHING = ("ls*", "fj*")
"""Local searches of the solver that end the process (9.15) where there was no presolve."""
LOOK_S = 0.05
Stop = Callable[[], bool]


def never() -> bool:
    """Return no, to the question whether to stop."""
    return False


@dataclass(frozen=True, kw_only=True, slots=True)
class Limits:
    """Time to search [s], workers to search with, and the question whether to stop before.

    ``work`` limits a run by what the solver does, in its unit of about a second of a quiet machine: a busy
    one takes longer, and comes as far.
    """

    seconds: float
    workers: int = 2
    stop: Stop = never
    seed: int = 0
    presolve: bool | None = None
    work: float | None = None
    begun: float = field(default_factory=time.monotonic)

    @property
    def left(self) -> float:
        """Return how long there is still [s]; nothing once somebody stopped it."""
        return 0.0 if self.stop() else max(0.0, self.begun + self.seconds - time.monotonic())

    def share(self, seconds: float) -> "Limits":
        """Return the limits of one question among several, which presolve makes quick."""
        return replace(self, seconds=min(seconds, self.left), begun=time.monotonic(), presolve=True)

    def step(self, work: float) -> "Limits":
        """Return the limits of one step: so much work on one worker, without presolve."""
        return replace(self, seconds=self.left, workers=1, begun=time.monotonic(), presolve=False, work=work)


@dataclass(frozen=True, slots=True)
class Ran:
    """Result of a run: a plan or None; whether it is proved that there is no better one, or none at all.

    ``used`` are the resources of which it takes the one unit more that it may.
    """

    plan: Plan | None
    proved: bool
    used: frozenset[str] = frozenset()


def run(model: Model, limits: Limits) -> Ran:
    """Search until it is proved, the time is over or somebody stops it."""
    solver = CpSolver()
    seconds = limits.left
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = limits.workers
    solver.parameters.random_seed = limits.seed
    presolve = seconds >= QUICK_S if limits.presolve is None else limits.presolve
    solver.parameters.cp_model_presolve = presolve
    if limits.work is not None:
        solver.parameters.max_deterministic_time = limits.work
    if not presolve:
        solver.parameters.ignore_subsolvers.extend(CRASHING)
    if seconds <= 0:
        return Ran(None, proved=False)
    with stopped_by(limits.stop, solver):
        status = solver.solve(model.cp)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        used = frozenset(key for key, literal in model.more.items() if solver.value(literal))
        return Ran(model.plan(solver.value), proved=status == cp_model.OPTIMAL, used=used)
    return Ran(None, proved=status == cp_model.INFEASIBLE)


@contextmanager
def stopped_by(stop: Stop, solver: CpSolver) -> Iterator[None]:
    """Ask again and again whether to stop, while the solver searches."""
    over = threading.Event()

    def watch() -> None:
        while not over.wait(LOOK_S):
            if stop():
                solver.stop_search()

    watcher = threading.Thread(target=watch, daemon=True)
    if stop is not never:
        watcher.start()
    try:
        yield
    finally:
        over.set()
        if stop is not never:
            watcher.join()
