"""Open instances of project scheduling as planning problems: ``rcpsp/*.sm`` and ``rcpsp_max/*.sch``.

Their activities are tasks, their arcs lags; the makespan is the completion of the one job. Both formats count
time from 0 in whole units, which stand for slots here.
"""

import json
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from calcs.planning.problem import Job, Lag, Problem, Resource, Task

PROJECT = "project"
INFEASIBLE = "infeasible"


def folder() -> Path:
    """Return the folder of the open instances; the benchmark is skipped, with the reason, without it."""
    given = os.environ.get("SHOP_BENCHMARKS", "")
    if not (Path(given) / "best_known.json").is_file() or not given:
        pytest.skip(f"SHOP_BENCHMARKS is {given!r}: name the folder that holds best_known.json")
    return Path(given)


def open_instances(kind: str) -> Iterator[tuple[str, Problem, int | str]]:
    """Yield name, problem and best known makespan of every instance of ``rcpsp`` or ``rcpsp_max``."""
    base, read = folder(), {"rcpsp": read_sm, "rcpsp_max": read_sch}[kind]
    for name, known in json.loads((base / "best_known.json").read_text("utf-8")).items():
        if name.startswith(f"{kind}/"):
            yield Path(name).stem, read((base / name).read_text("utf-8")), known


def read_sm(text: str) -> Problem:
    """Return the problem of a file of the public project scheduling library: precedence, no time lags."""
    parts = re.split(r"\*{20,}\n", text)
    arcs, works, capacities = (
        [[int(cell) for cell in line.split()] for line in part.splitlines() if re.match(r"[\s\d]+$", line)]
        for part in (
            starting(parts, "PRECEDENCE"),
            starting(parts, "REQUESTS"),
            starting(parts, "RESOURCEAV"),
        )
    )
    slots = {row[0]: row[2] for row in works}
    lags = [Lag(first=str(row[0]), then=str(then)) for row in arcs for then in row[3:]]
    tasks = [a_task(row[0], row[2], row[3:]) for row in works]
    return a_project(tasks, lags, capacities[0], horizon=sum(slots.values()))


def starting(parts: list[str], word: str) -> str:
    return next(part for part in parts if part.startswith(word))


def read_sch(text: str) -> Problem:
    """Return the problem of a file with lags between starts; a negative one is a most, the other way."""
    rows = [line.split() for line in text.splitlines() if line.strip()]
    count = int(rows[0][0]) + 2
    arcs, works, capacities = rows[1 : 1 + count], rows[1 + count : 1 + 2 * count], rows[-1]
    slots = {int(row[0]): int(row[2]) for row in works}
    lags, longest = list[Lag](), dict(slots)
    for first, then, least in arcs_of(arcs):
        if least >= 0:
            lags.append(Lag(first=str(first), then=str(then), least=least - slots[first]))
            longest[first] = max(longest[first], least)
        else:
            lags.append(no_sooner(then, first, most=-least - slots[then]))
    tasks = [a_task(int(row[0]), int(row[2]), [int(cell) for cell in row[3:]]) for row in works]
    return a_project(tasks, lags, [int(cell) for cell in capacities], horizon=sum(longest.values()))


def no_sooner(first: int, then: int, *, most: int) -> Lag:
    """Return a lag that has a most and, so far as matters, no least."""
    return Lag(first=str(first), then=str(then), least=-(10**5), most=most)


def arcs_of(rows: list[list[str]]) -> Iterator[tuple[int, int, int]]:
    for row in rows:
        count = int(row[2])
        for then, lag in zip(row[3 : 3 + count], row[3 + count :], strict=True):
            yield int(row[0]), int(then), int(lag.strip("[]"))


def a_task(number: int, slots: int, units: list[int]) -> Task:
    uses: dict[str, int] = {f"R{i + 1}": amount for i, amount in enumerate(units) if amount}
    return Task(key=str(number), job=PROJECT, slots=slots, uses=uses)


def a_project(tasks: list[Task], lags: list[Lag], capacities: list[int], *, horizon: int) -> Problem:
    """Return the problem whose one job is complete when the last activity, a moment, is reached."""
    resources = tuple(Resource(key=f"R{i + 1}", capacity=units) for i, units in enumerate(capacities))
    given: dict[str, Any] = {"tasks": tuple(tasks), "lags": tuple(lags), "resources": resources}
    return Problem(horizon=horizon + 1, jobs=(Job(key=PROJECT, last=(tasks[-1].key,)),), **given)
