"""Readers of planning instances into problems of our own."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
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
    read = _read(name)
    return Shop(
        name=name,
        problem=problem_of(read),
        due_date_points=read["edd_objective"],
        best_points=read["best_objective"],
        best_starts=tuple(read["best_starts"]),
    )


def _read(name: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads((DATA / "shop_synthetic" / f"{name}.json").read_text("utf-8"))
    return read


def many(shops: int = 5, weeks: int = 60) -> Problem:
    """Return a shop of two makers with 12 commissions for each of so many shops, due 50 days later each.

    The weeks are all alike: Monday to Friday, 8:00 to 12:00 and 13:00 to 17:00.
    """
    week, day = 2016, 288
    together: dict[str, Any] = {"tasks": [], "lags": [], "holds": [], "commissions": []}
    for number in range(shops):
        read = _read(("m2_s1", "m2_s2")[number % 2])
        task, job, later = len(together["tasks"]), len(together["commissions"]), number * 50 * day
        together["tasks"] += [[row[0] + task, row[1] + job, *row[2:]] for row in read["tasks"]]
        together["lags"] += [[a + task, b + task, lo, hi] for a, b, lo, hi in read["lags"]]
        together["holds"] += [[key, units, a + task, b + task] for key, units, a, b in read["holds"]]
        together["commissions"] += [
            [own + job, release, due + later, weight, last + task]
            for own, release, due, weight, last in read["commissions"]
        ]
    halves = [(d * day + first, d * day + last) for d in range(5) for first, last in ((96, 144), (156, 204))]
    windows = [(w * week + first, w * week + last) for w in range(weeks) for first, last in halves]
    more = {
        "horizon": weeks * week,
        "day_slots": day,
        "windows": windows,
        "capacity": _read("m2_s1")["capacity"],
    }
    return problem_of({**together, **more})


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
    inside = _starts(tuple(windows), slots, latest, day)
    begin = max(release, released[job])
    return Task(
        key=f"t{number}",
        job=f"c{job}",
        slots=slots,
        starts=inside >> begin << begin,
        uses={"maker": makers, **uses},
        keeps=keeps,
    )


@cache
def _starts(windows: tuple[tuple[int, int], ...], slots: int, latest: int | None, day: int) -> int:
    """Return the starts inside one window; after noon the end comes ``latest`` slots before the window's."""
    early = latest or 0
    return slots_of(
        [(first, last - slots + 1 - (early if first % day >= NOON_WINDOW else 0)) for first, last in windows]
    )
