"""The solver against printed optima, against every plan there is of small problems, and against its rules."""

import random
import time
from itertools import product

import pytest

from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Hold, Job, Lag, Placed, Plan, Problem, Resource, Task, slots_of, value
from calcs.planning.solver import improve
from tests.benchmarks.planning.instances import shop

# developers.google.com/optimization/scheduling/job_shop (read 2026-12-01): machine and time of each step; the
# least length of the schedule is printed as 11.
THREE_JOBS = [[(0, 3), (1, 2), (2, 2)], [(0, 2), (2, 1), (1, 4)], [(1, 4), (2, 3)]]
# Fisher and Thompson's 6 x 6 problem in Muth and Thompson, Industrial Scheduling (1963), least length 55;
# from two public copies that agree (mcfadd/Job_Shop_Schedule_Problem; cpoptimizer's Readme has the optimum).
SIX_BY_SIX = [
    [(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
    [(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
    [(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
    [(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
    [(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
    [(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
]


def job_shop(jobs: list[list[tuple[int, int]]]) -> Problem:
    """Return the problem whose one job ends with the last step of all rows."""
    tasks, lags = [], []
    for row, steps in enumerate(jobs):
        for place, (machine, slots) in enumerate(steps):
            tasks.append(Task(key=f"{row}.{place}", job="all", slots=slots, uses={f"machine {machine}": 1}))
            if place:
                lags.append(Lag(first=f"{row}.{place - 1}", then=f"{row}.{place}"))
    machines = {machine for steps in jobs for machine, _ in steps}
    return Problem(
        horizon=sum(slots for steps in jobs for _, slots in steps),
        tasks=tuple(tasks),
        lags=tuple(lags),
        resources=tuple(Resource(key=f"machine {machine}") for machine in machines),
        jobs=(Job(key="all", last=tuple(f"{row}.{len(steps) - 1}" for row, steps in enumerate(jobs))),),
    )


@pytest.mark.parametrize("jobs, printed", [(THREE_JOBS, 11), (SIX_BY_SIX, 55)])
def test_printed_optima_are_found_and_proved(jobs, printed):
    problem = job_shop(jobs)
    found = improve(problem, None, seconds=20)
    assert (found.value, found.proved) == (printed, True)
    assert faults(problem, found.plan) == []


def test_the_optimum_is_found_from_a_plan_on_too():
    problem = job_shop(THREE_JOBS)
    found = improve(problem, due_date_plan(problem), seconds=20)
    assert (found.value, found.proved) == (11, True)


def test_what_cannot_be_is_said_to_be_impossible():
    tasks = (
        Task(key="coat", job="top", slots=2),
        Task(key="sand", job="top", slots=1, starts=slots_of([(9, 20)])),
    )
    lag = Lag(first="coat", then="sand", most=3)
    early = Task(key="coat", job="top", slots=2, starts=slots_of([(0, 4)]))
    problem = Problem(
        horizon=20, tasks=(early, tasks[1]), lags=(lag,), jobs=(Job(key="top", last=("sand",)),)
    )
    found = improve(problem, None, seconds=10)
    assert (found.plan, found.proved) == (None, True)
    possible = Problem(horizon=20, tasks=tasks, lags=(lag,), jobs=(Job(key="top", last=("sand",)),))
    assert improve(possible, None, seconds=10).value == 10


def small(seed: int) -> Problem:
    """Return three tasks of two jobs, two people of different hours, clamps and a place, by chance."""
    chance = random.Random(seed)
    horizon = 9
    hours = [slots_of([(0, 4), (5, 9)]), slots_of([(chance.randint(0, 3), chance.randint(6, 9))])]
    people = [Resource(key=key, open=slots) for key, slots in zip(("ann", "bob"), hours, strict=True)]
    teams = ((("ann",), ("bob",)), (("ann", "bob"),), (("bob",),), ())
    tasks = [
        Task(
            key=key,
            job=job,
            slots=chance.randint(1, 3),
            starts=slots_of([(chance.randint(0, 2), 9)]),
            teams=chance.choice(teams),
            uses={"clamps": chance.randint(1, 2)} if chance.random() < 0.5 else {},
            keeps={"place": chance.randint(2, 4)} if chance.random() < 0.5 else {},
        )
        for key, job in (("a", "one"), ("b", "one"), ("c", "two"))
    ]
    lag = Lag(first="a", then="b", least=chance.randint(-1, 2), most=chance.choice((None, 2)))
    return Problem(
        horizon=horizon,
        tasks=tuple(tasks),
        resources=(*people, Resource(key="clamps", capacity=2, taken=((1, 2, 1),)), Resource(key="place")),
        lags=(lag,),
        holds=(Hold(resource="clamps", units=1, first="a", last="b"),) if chance.random() < 0.5 else (),
        jobs=(
            Job(key="one", last=("b",), due=chance.randint(3, 6)),
            Job(key="two", last=("c",), due=3, weight=2),
        ),
        unwanted=slots_of([(7, 9)]),
        unwanted_points=chance.choice((3, 50)),
    )


def best_of_all(problem: Problem) -> int | None:
    """Return the least points of every plan there is that the checker lets through."""
    choices = [
        [Placed(start=start, team=team) for start in range(problem.horizon) for team in task.teams or ((),)]
        for task in problem.tasks
    ]
    least = None
    for placed in product(*choices):
        plan = {task.key: each for task, each in zip(problem.tasks, placed, strict=True)}
        points = value(problem, plan)
        if (least is None or points < least) and not faults(problem, plan):
            least = points
    return least


@pytest.mark.parametrize("seed", (0, 1, 2, 3, 5, 6))
def test_of_a_small_problem_no_plan_is_better(seed):
    problem = small(seed)
    found = improve(problem, None, seconds=20)
    assert (found.value, found.proved) == (best_of_all(problem), True)


def test_a_shop_gets_better_and_keeps_every_rule():
    problem = shop("m2_s2").problem
    begun = due_date_plan(problem)
    told: list[Plan] = []
    found = improve(problem, begun, seconds=2, on_better=told.append)
    assert found.value <= value(problem, begun)
    assert faults(problem, found.plan) == []
    points = [value(problem, plan) for plan in told]
    assert points == sorted(points, reverse=True)
    assert not told or points[-1] == found.value


def test_near_a_published_plan_it_moves_only_what_is_worth_it():
    problem = job_shop(THREE_JOBS)
    plan = {key: Placed(start=placed.start + 3) for key, placed in due_date_plan(problem).items()}
    near = {key: placed.start for key, placed in plan.items()}
    later = Problem(
        horizon=problem.horizon + 3, tasks=problem.tasks, lags=problem.lags, resources=problem.resources,
        jobs=problem.jobs,
    )  # fmt: skip
    assert improve(later, plan, seconds=10, near=near).value <= value(later, plan)
    assert improve(later, plan, seconds=10).value == 11


def test_it_ends_soon_when_it_is_stopped():
    problem = shop("m1_s1").problem
    begun = time.monotonic()
    plan = due_date_plan(problem)
    found = improve(problem, plan, seconds=60, stop=lambda: time.monotonic() > begun + 1)
    assert time.monotonic() < begun + 15
    assert found.value <= value(problem, plan)
