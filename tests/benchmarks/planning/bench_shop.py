"""The synthetic shops: value against the due-date plan after a second, after ten, and with the solver."""

from math import prod

from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Plan, Problem, value
from calcs.planning.search import search
from calcs.planning.solver import improve
from tests.benchmarks.planning.instances import SHOPS, shop
from tests.benchmarks.planning.tables import publish

SOLVER_S = 25
HEADER = (
    "shop", "due-date plan, points", "search 1 s", "search 10 s", f"search 10 s, solver {SOLVER_S} s",
    f"due-date plan, solver {SOLVER_S} s", "best known",
)  # fmt: skip


def bench_shops() -> None:
    rows = [measured(name) for name in SHOPS]
    means = [prod(row[i] for row in rows) ** (1 / len(rows)) for i in range(1, len(rows[0]))]
    shown = [(name, int(row[0]), *row[1:]) for name, row in zip(SHOPS, rows, strict=True)]
    publish(
        "shop",
        "Synthetic shops of twelve commissions",
        HEADER,
        [*shown, ("geometric mean", "", *means)],
        "Value of the plan / value of our due-date plan; less is better. Wanted: 0.85 after 1 s, 0.72 after "
        "10 s. Best known is the plan that came with the file. The checker found no fault in any plan.",
    )
    assert means[0] <= 1 and means[1] <= means[0]


def measured(name: str) -> list[float]:
    """Return the points of the due-date plan, then the ratios of the columns."""
    known = shop(name)
    problem, begun = known.problem, due_date_plan(known.problem)
    quick = search(problem, seconds=1).plan
    longer = search(problem, seconds=10).plan
    best = improve(problem, longer, seconds=SOLVER_S).plan
    alone = improve(problem, begun, seconds=SOLVER_S).plan
    points = value(problem, begun)
    plans = [sound(problem, plan) for plan in (quick, longer, best, alone)]
    return [points, *(value(problem, plan) / points for plan in plans), known.best_points / points]


def sound(problem: Problem, plan: Plan | None) -> Plan:
    assert plan is not None and faults(problem, plan) == []
    return plan
