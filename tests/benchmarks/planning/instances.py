"""Readers of planning instances into problems of our own."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calcs.planning.problem import Hold, Job, Lag, Placed, Plan, Problem, Resource, Task, slots_of

DATA = Path(__file__).parent / "data"
SHOPS = ("m1_s1", "m1_s2", "m2_s1", "m2_s2")
NOON_WINDOW = 12 * 12
"""A window of half a day that begins at noon or later is an afternoon."""


@dataclass(frozen=True, slots=True)
class Shop:
    """A synthetic shop of 12 commissions: its problem and the points of its plans, as the file gives them."""

    name: str
    problem: Problem
    due_date_points: int
    best_points: int
    best_starts: tuple[int, ...]

    @property
    def best_plan(self) -> Plan:
        """Return the plan whose points are ``best_points``."""
        return {t.key: Placed(start=s) for t, s in zip(self.problem.tasks, self.best_starts, strict=True)}


def shop(name: str) -> Shop:
    """Return a shop of the folder ``data/shop_synthetic`` by its name."""
    read = json.loads((DATA / "shop_synthetic" / f"{name}.json").read_text("utf-8"))
    return Shop(
        name=name,
        problem=problem_of(read),
        due_date_points=read["edd_objective"],
        best_points=read["best_objective"],
        best_starts=tuple(read["best_starts"]),
    )


def problem_of(read: Mapping[str, Any]) -> Problem:
    """Return the problem of a file; makers are one resource with their number as capacity."""
    windows = [(first, last) for first, last in read["windows"]]
    released = {job[0]: job[1] for job in read["commissions"]}
    return Problem(
        horizon=read["horizon"],
        tasks=tuple(_task(row, windows, released, read["day_slots"]) for row in read["tasks"]),
        resources=tuple(
            Resource(key=key, capacity=units, open=slots_of(windows) if key == "maker" else -1)
            for key, units in read["capacity"].items()
        ),
        lags=tuple(Lag(first=f"t{a}", then=f"t{b}", least=lo, most=hi) for a, b, lo, hi in read["lags"]),
        holds=tuple(
            Hold(resource=key, units=units, first=f"t{a}", last=f"t{b}") for key, units, a, b in read["holds"]
        ),
        jobs=tuple(
            Job(key=f"c{number}", last=(f"t{last}",), due=due, weight=weight)
            for number, _, due, weight, last in read["commissions"]
        ),
    )


def _task(row: Any, windows: list[tuple[int, int]], released: Mapping[int, int], day: int) -> Task:
    number, job, _, slots, makers, uses, keeps, latest, release = row
    inside = 0
    for first, last in windows:
        early = latest if latest is not None and first % day >= NOON_WINDOW else 0
        inside |= slots_of([(first, last - early - slots + 1)])
    return Task(
        key=f"t{number}",
        job=f"c{job}",
        slots=slots,
        starts=inside >> (begin := max(release, released[job])) << begin,
        uses={"maker": makers, **uses},
        keeps=keeps,
    )
