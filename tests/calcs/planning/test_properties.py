"""Properties of every planner, over drawn shops: plans hold, more means never make them worse.

List scheduling has anomalies: with more hands, clamps or hours the same order can give a worse plan. So the
search of the richer shop begins from the plan of the poorer one, which is a plan of the richer one as well.
"""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Found, Hold, Job, Lag, Plan, Problem, Resource, Task, slots_of, value
from calcs.planning.repair import repair
from calcs.planning.search import search
from calcs.planning.solver import improve

DAY = 288
DAYS = 30


def each_day(first: int, last: int) -> int:
    return slots_of([(day * DAY + first, day * DAY + last) for day in range(DAYS)])


HOURS, NOON, LATE = each_day(96, 144) | each_day(156, 204), each_day(144, 156), each_day(216, 240)
TEAMS = ((("Ann",), ("Ben",)), (("Ann",),), (("Ben",),), (("Ann", "Ben"),))
PLANS = 12
few = settings(max_examples=12, deadline=None)
many = settings(max_examples=400, deadline=None)


def commission(
    number: int, sizes: tuple[int, int, int, int], teams: tuple[int, int, int], due: int
) -> Problem:
    """Return a problem of one commission: milled, glued and scraped in time, unclamped, coated, sanded."""
    mill, glue, cure, sand = sizes
    first, second, third = (TEAMS[at] for at in teams)
    key, job = f"c{number} ", f"c{number}"
    return Problem(
        horizon=DAYS * DAY, jobs=(Job(key=job, last=(f"{key}sand",), due=due, weight=1 + number % 2),),
        tasks=(
            Task(key=f"{key}mill", job=job, slots=mill, teams=first),
            Task(key=f"{key}glue", job=job, slots=glue, teams=second, starts=~0 << DAY * (number % 3)),
            Task(key=f"{key}scrape", job=job, slots=3, teams=TEAMS[0]),
            Task(key=f"{key}unclamp", job=job, slots=2, teams=TEAMS[0]),
            Task(key=f"{key}coat", job=job, slots=6, teams=third, keeps={"room": 50}),
            Task(key=f"{key}sand", job=job, slots=sand, teams=third, uses={"room": 1}),
        ),
        lags=(
            Lag(first=f"{key}mill", then=f"{key}glue"),
            Lag(first=f"{key}glue", then=f"{key}scrape", least=2, most=12),
            Lag(first=f"{key}glue", then=f"{key}unclamp", least=cure),
            Lag(first=f"{key}scrape", then=f"{key}unclamp"),
            Lag(first=f"{key}unclamp", then=f"{key}coat", least=0, most=900),
            Lag(first=f"{key}coat", then=f"{key}sand", least=50),
        ),
        holds=(Hold(resource="clamps", units=4, first=f"{key}glue", last=f"{key}unclamp"),),
    )  # fmt: skip


def together(shops: list[Problem], resources: tuple[Resource, ...], unwanted: int) -> Problem:
    def all_of(name: str) -> tuple[object, ...]:
        return tuple(item for shop in shops for item in getattr(shop, name))

    return Problem(
        horizon=DAYS * DAY, resources=resources, unwanted=unwanted,
        **{name: all_of(name) for name in ("tasks", "lags", "holds", "jobs")},
    )  # fmt: skip


@st.composite
def shops(draw: st.DrawFn) -> Problem:
    """Draw one to four commissions for two people, with clamps, a finishing room and perhaps evenings."""
    numbers = range(draw(st.integers(1, 4)))
    sizes = st.tuples(st.integers(1, 48), st.integers(1, 20), st.integers(5, 200), st.integers(1, 40))
    teams, due = st.tuples(*[st.integers(0, 3)] * 3), st.integers(0, 12 * DAY)
    evenings = draw(st.sampled_from([0, LATE]))
    taken = tuple((at, at + 60, 1) for at in draw(st.lists(st.integers(0, 5 * DAY), max_size=1)))
    resources = (
        Resource(key="Ann", open=HOURS | evenings, taken=taken), Resource(key="Ben", open=HOURS),
        Resource(key="clamps", capacity=draw(st.integers(4, 9))), Resource(key="room"),
    )  # fmt: skip
    return together(
        [commission(n, draw(sizes), draw(teams), draw(due)) for n in numbers], resources, evenings
    )


def checked(problem: Problem, found: Found) -> Found:
    """Return what was found, after the checker has seen it; a window it gave up is named, and left out."""
    without = {(lag.first, lag.then) for lag in found.dropped}
    lags = tuple(replace(lag, most=None) if (lag.first, lag.then) in without else lag for lag in problem.lags)
    assert faults(replace(problem, lags=lags), found.plan) == []
    assert found.value == value(problem, found.plan)
    return found


def starts(plan: Plan) -> Mapping[str, int]:
    return {key: placed.start for key, placed in plan.items()}


def every_plan_holds(problem: Problem, lost: int) -> None:
    plan = due_date_plan(problem)
    assert faults(problem, plan) == []
    found = checked(problem, search(problem, plans=PLANS))
    assert found.value <= value(problem, plan)
    ill = replace(
        problem.resources[0], open=problem.resources[0].open & ~slots_of([(lost * DAY, (lost + 1) * DAY)])
    )
    event = replace(problem, resources=(ill, *problem.resources[1:]))
    checked(event, repair(event, starts(found.plan), plans=0))
    checked(event, repair(event, starts(found.plan), plans=PLANS))


def the_solver_keeps_to_the_rules(problem: Problem) -> None:
    before = search(problem, plans=1)
    if not before.dropped:
        found = improve(problem, before.plan, seconds=0.4, workers=1)
        assert found.plan is not None and found.value is not None
        assert faults(problem, found.plan) == []
        assert found.value == value(problem, found.plan) <= before.value


def more_hands(problem: Problem) -> Problem:
    also = tuple(
        replace(t, teams=(*t.teams, ("Cleo",)) if ("Ann",) in t.teams else t.teams) for t in problem.tasks
    )
    return replace(problem, tasks=also, resources=(*problem.resources, Resource(key="Cleo", open=HOURS)))


def more_clamps(problem: Problem) -> Problem:
    more = tuple(replace(r, capacity=r.capacity + 3) if r.key == "clamps" else r for r in problem.resources)
    return replace(problem, resources=more)


def more_hours(problem: Problem) -> Problem:
    return replace(problem, resources=tuple(replace(r, open=r.open | NOON) for r in problem.resources))


def more_never_makes_it_worse(problem: Problem) -> None:
    poor = search(problem, plans=PLANS)
    for richer in (more_hands(problem), more_clamps(problem), more_hours(problem)):
        assert faults(richer, poor.plan) == [], "a plan of the poorer shop is one of the richer"
        assert checked(richer, search(richer, start=poor.plan, plans=PLANS)).value <= poor.value


def without(problem: Problem, job: str) -> Problem:
    gone = {task.key for task in problem.tasks if task.job == job}
    return replace(
        problem, tasks=tuple(t for t in problem.tasks if t.job != job),
        jobs=tuple(j for j in problem.jobs if j.key != job),
        lags=tuple(lag for lag in problem.lags if lag.first not in gone),
        holds=tuple(hold for hold in problem.holds if hold.last not in gone),
    )  # fmt: skip


def one_less_never_makes_it_worse(problem: Problem) -> None:
    """Compare with the plan that is left when the commission is taken out of it.

    That plan holds, so nothing has to move: searched on from it, no points are added. Among themselves
    others may still change places, where this gains more than it costs: that is the noise of one of them.
    """
    before = search(problem, plans=PLANS).plan
    for job in problem.jobs:
        smaller = without(problem, job.key)
        left = {task.key: before[task.key] for task in smaller.tasks}
        if smaller.tasks:
            assert faults(smaller, left) == []
            after = checked(smaller, search(smaller, start=left, plans=PLANS))
            assert after.value <= value(smaller, left)


PROPERTIES = (more_never_makes_it_worse, one_less_never_makes_it_worse)


@few
@given(shops(), st.integers(0, 6))
def test_every_plan_holds(problem: Problem, lost: int) -> None:
    every_plan_holds(problem, lost)


def test_every_plan_of_the_solver_holds() -> None:
    settings(few, max_examples=5)(given(shops())(the_solver_keeps_to_the_rules))()


@pytest.mark.parametrize("holds", PROPERTIES)
def test_more_means_or_less_work_never_make_a_plan_worse(holds) -> None:
    few(given(shops())(holds))()


@pytest.mark.long
def test_every_plan_of_many_shops_holds() -> None:
    many(given(shops(), st.integers(0, 6))(every_plan_holds))()


@pytest.mark.long
def test_every_plan_of_the_solver_over_many_shops_holds() -> None:
    settings(many, max_examples=60)(given(shops())(the_solver_keeps_to_the_rules))()


@pytest.mark.long
@pytest.mark.parametrize("holds", PROPERTIES)
def test_over_many_shops_more_means_or_less_work_never_make_a_plan_worse(holds) -> None:
    many(given(shops())(holds))()
