"""Open instances of project scheduling, by the search and by the solver, in the same problem as a shop."""

import re
import time
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

import pytest

from calcs.kit.errors import CalcError
from calcs.planning.checker import faults
from calcs.planning.problem import Plan, Problem, value
from calcs.planning.search import search
from calcs.planning.solver import improve
from tests.benchmarks.planning.open_instances import INFEASIBLE, open_instances
from tests.benchmarks.planning.tables import publish

SECONDS = 10
TITLES = {
    "rcpsp": "Project scheduling (rcpsp)",
    "rcpsp_max": "Project scheduling with least and most waits (rcpsp_max)",
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """Makespans of one instance: the best known, that of the search and of the solver; None: no plan."""

    name: str
    known: int | str
    search: int | None
    solver: int | None
    proved: bool


@pytest.mark.parametrize("kind", TITLES)
def bench_open(kind: str) -> None:
    found = [outcome(*instance) for instance in open_instances(kind)]
    sets = dict.fromkeys(set_of(each.name) for each in found)
    rows = [summed(name, [each for each in found if set_of(each.name) == name]) for name in sets]
    missed = [each for each in found if each.known != each.solver and not named_infeasible(each)]
    header = (
        "set", "instances", "feasible", f"search {SECONDS} s: a plan", "of best known",
        f"solver {SECONDS} s: a plan", "of best known", "proved", "named infeasible",
    )  # fmt: skip
    note = (
        "Makespan / best known makespan, mean of the plans found. The solver begins without a plan and ends "
        "when it has a proof. "
        f"Its {SECONDS} s are of two cores, counted as time of the processor. Wanted: a plan for all, 1.03. "
    )
    at_best = "Not at the best known: " + ", ".join(map(words, missed)) if missed else "All at the best known"
    publish(kind, TITLES[kind], header, [*rows, summed("all", found)], f"{note}{at_best}.")


def outcome(name: str, problem: Problem, known: int | str) -> Outcome:
    try:
        own: Plan | None = search(problem, seconds=SECONDS).plan
    except CalcError:
        own = None
    used = time.process_time() + 2 * SECONDS
    found = improve(problem, None, seconds=20 * SECONDS, stop=lambda: time.process_time() > used)
    return Outcome(name, known, makespan(problem, own), makespan(problem, found.plan), found.proved)


def makespan(problem: Problem, plan: Plan | None) -> int | None:
    """Return the makespan of a plan that the checker lets through; None without one."""
    if plan is None or faults(problem, plan):
        return None
    return value(problem, plan)


def set_of(name: str) -> str:
    return re.sub(r"_.*|(?<=j30|j60)\d.*|(?<=j120).*", "", name) + (" max" if "psp" in name else "")


def named_infeasible(each: Outcome) -> bool:
    return each.known == INFEASIBLE and each.solver is None and each.proved


def words(each: Outcome) -> str:
    return f"{each.name} {each.solver or 'no plan'} ({each.known})"


def summed(name: str, found: Sequence[Outcome]) -> tuple[object, ...]:
    possible = [each for each in found if isinstance(each.known, int)]
    own = [each.search / each.known for each in possible if each.search and isinstance(each.known, int)]
    solver = [each.solver / each.known for each in possible if each.solver and isinstance(each.known, int)]
    none = len(found) - len(possible)
    return (
        name, len(found), len(possible), len(own), fmean(own) if own else "-", len(solver),
        fmean(solver) if solver else "-", sum(each.proved for each in possible),
        f"{sum(map(named_infeasible, found))} of {none}" if none else "-",
    )  # fmt: skip
