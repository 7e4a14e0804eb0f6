"""Sixty commissions at once, and the shop of twelve: how long a plan takes."""

import time
from collections.abc import Callable

from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Plan, Problem
from calcs.planning.search import search
from tests.benchmarks.planning.instances import many, shop
from tests.benchmarks.planning.tables import publish


def bench_many_commissions() -> None:
    rows = [row(problem) for problem in (shop("m2_s2").problem, many())]
    publish(
        "many",
        "Sixty commissions",
        ("commissions", "tasks", "due-date plan, s", "first plan of the search, s", "checked, s"),
        rows,
        "Wanted: sixty commissions planned within 3 s. The best of three times.",
    )


def row(problem: Problem) -> tuple[object, ...]:
    plan = due_date_plan(problem)
    assert faults(problem, plan) == []
    times = [
        quickest(lambda: due_date_plan(problem)),
        quickest(lambda: search(problem, plans=1).plan),
        quickest(lambda: faults(problem, plan)),
    ]
    return (len(problem.jobs), len(problem.tasks), *(f"{seconds:.2f}" for seconds in times))


def quickest(work: Callable[[], Plan | list[str]]) -> float:
    found = []
    for _ in range(3):
        begun = time.perf_counter()
        work()
        found.append(time.perf_counter() - begun)
    return min(found)
