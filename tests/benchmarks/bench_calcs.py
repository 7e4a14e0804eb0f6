"""The calculations: all of one top, and a hundred thousand values at once against bare NumPy."""

import time
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy

from calcs.asking.field_types import Habit
from calcs.asking.inputs import read
from calcs.catalogue import CALCULATIONS, run
from calcs.wood.emc import equilibrium_moistures
from calcs.wood.movement_inputs import changes

EXAMPLES = {name: one.example for name, one in CALCULATIONS.items()}
ROUNDS, MANY = 15, 100_000
TOP_MS, BARE = 20, 3.0


def fastest(*works: Callable[[], Any]) -> list[float]:
    """Return the best time of each [s], taken in turns on the same machine; the first round warms up."""
    rounds = []
    for _ in range(ROUNDS):
        times = []
        for work in works:
            begun = time.perf_counter()
            work()
            times.append(time.perf_counter() - begun)
        rounds.append(times)
    return [min(times) for times in zip(*rounds[1:], strict=True)]


def tell(what: str, figure: str, ratio: float, baseline: str) -> None:
    print(f"\n{what}: {figure}; {ratio:.2f} of {baseline}", end="")


def sums_of_fractions() -> Fraction:
    """Add fractions: exact arithmetic as the calculations do it, and nothing else."""
    return sum((Fraction(n, 64) for n in range(5_000)), Fraction(0))


def bench_all_of_one_top() -> None:
    asked = {name: read(each.asked, EXAMPLES[name], Habit()) for name, each in CALCULATIONS.items()}

    def answers() -> None:
        for name, each in CALCULATIONS.items():
            each.answer(asked[name])

    def as_typed_and_told() -> None:
        for name in CALCULATIONS:
            run(name, EXAMPLES[name], Habit())

    base, answering, whole = fastest(sums_of_fractions, answers, as_typed_and_told)
    baseline = f"5,000 sums of fractions ({base * 1000:.1f} ms)"
    for what, took in (("answered", answering), ("read as typed, answered, told in words", whole)):
        tell(f"all {len(asked)} of one top {what}", f"{took * 1000:.1f} ms", took / base, baseline)
    assert answering * 1000 < TOP_MS


def bench_moistures_at_once() -> None:
    draw = numpy.random.default_rng(1)
    temps, humidities = draw.uniform(0, 60, MANY), draw.uniform(5, 95, MANY)

    def bare() -> Any:
        """Return equilibrium moisture by the Wood Handbook (2010), eq. 4-5, as printed."""
        t, h = temps, humidities / 100
        w = 349 + 1.29 * t + 0.0135 * t**2
        k = 0.805 + 0.000736 * t - 0.00000273 * t**2
        k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
        k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
        kh = k * h
        twice = k1 * k2 * kh**2
        return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * twice) / (1 + k1 * kh + twice))

    assert numpy.allclose(bare(), equilibrium_moistures(temps, humidities))
    plain, ours = fastest(bare, lambda: equilibrium_moistures(temps, humidities))
    at_once("equilibrium moistures", ours, plain)


def bench_changes_at_once() -> None:
    draw = numpy.random.default_rng(2)
    sizes, factors = draw.uniform(1, 100, MANY), draw.uniform(0.001, 0.004, MANY)
    dry, wet = draw.uniform(6, 10, MANY), draw.uniform(10, 14, MANY)
    plain, ours = fastest(lambda: sizes * factors * (wet - dry), lambda: changes(sizes, factors, dry, wet))
    at_once("changes of size", ours, plain)


def at_once(what: str, ours: float, plain: float) -> None:
    baseline = f"bare NumPy of the formula ({plain * 1000:.2f} ms)"
    tell(f"{MANY:,} {what}", f"{ours * 1000:.2f} ms", ours / plain, baseline)
    assert ours <= BARE * plain
