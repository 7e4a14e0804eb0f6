"""Search for better plans: small shops worked by hand, synthetic ones against the figures of their files."""

import pytest

from calcs.kit.errors import OutOfRange
from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Job, Lag, Placed, Problem, Resource, Task, slots_of, value
from calcs.planning.search import search
from tests.benchmarks.planning.instances import many, shop

ANN = Resource(key="ann")


def one_task_each(*jobs, **more):
    """Return a shop in which Ann does one task for each commission: key, slots, due, weight."""
    return Problem(
        horizon=500,
        tasks=tuple(Task(key=key, job=key, slots=slots, teams=(("ann",),)) for key, slots, _, _ in jobs),
        resources=(ANN,),
        jobs=tuple(Job(key=key, last=(key,), due=due, weight=weight) for key, _, due, weight in jobs),
        **more,
    )


def test_the_heavier_commission_goes_first_where_that_is_better():
    # By due date: a ends at 10, b at 15, 4 late: 10 * 5 * 4 + 10 + 15 = 225 points.
    # The other way round: b ends at 5, a at 15, 5 late: 10 * 1 * 5 + 5 + 15 = 70.
    problem = one_task_each(("a", 10, 10, 1), ("b", 5, 11, 5))
    assert value(problem, due_date_plan(problem)) == 225
    found = search(problem, plans=20)
    assert (found.value, found.plan["b"].start, found.plan["a"].start) == (70, 0, 5)
    assert value(problem, found.plan) == 70


# a takes slots 0 to 3. b, 3 slots and due at 6, goes on at 3 with 2 slots in the evening of 4 to 8, or at 8.
# Weight 10: 2 * 50 + 6 + 3 = 109 against 10 * 10 * 5 + 11 + 3 = 514. Weight 1: 109 against 50 + 11 + 3 = 64.
@pytest.mark.parametrize("weight, points, start", [(10, 109, 3), (1, 64, 8)])
def test_an_evening_is_used_where_it_pays(weight, points, start):
    problem = one_task_each(("a", 3, 3, 10), ("b", 3, 6, weight), unwanted=slots_of([(4, 8)]))
    found = search(problem, plans=40)
    assert faults(problem, found.plan) == []
    assert (found.value, found.plan["b"].start) == (points, start)


def test_the_same_number_of_plans_gives_the_same_plan():
    problem = shop("m2_s2").problem
    first, then = (search(problem, plans=15, seed=7) for _ in range(2))
    assert first == then
    assert first.plans == 15


def test_a_synthetic_shop_is_planned_well_below_its_plan_by_due_date():
    known = shop("m1_s2")
    found = search(known.problem, plans=120, seed=1)
    assert faults(known.problem, found.plan) == []
    assert found.value == value(known.problem, found.plan)
    assert found.value <= 0.8 * known.due_date_points
    assert found.value <= value(known.problem, due_date_plan(known.problem)) <= known.due_date_points


@pytest.mark.parametrize("name", ["m1_s1", "m2_s2"])
def test_a_start_is_never_made_worse(name):
    # The file's best plan has its best value, far below what no search at all finds.
    known = shop(name)
    assert search(known.problem, start=known.best_plan, plans=0).value <= known.best_points


def test_a_start_that_does_not_hold_is_not_returned():
    problem = one_task_each(("a", 5, 10, 1), ("b", 5, 10, 1))
    together = {"a": Placed(start=0, team=("ann",)), "b": Placed(start=0, team=("ann",))}
    found = search(problem, start=together, plans=0)
    assert faults(problem, found.plan) == []


def test_a_start_may_lack_a_task_and_know_others():
    problem = one_task_each(("a", 5, 10, 1), ("b", 5, 10, 1))
    start = {"b": Placed(start=0, team=("ann",)), "gone": Placed(start=3)}
    found = search(problem, start=start, plans=5)
    assert faults(problem, found.plan) == []
    assert found.value == 15


def test_time_may_be_the_limit():
    found = search(shop("m2_s1").problem, seconds=0.3)
    assert found.plans > 0


def test_sixty_commissions_are_planned_whole():
    problem = many()
    assert (len(problem.jobs), len(problem.tasks)) == (60, 1575)
    found = search(problem, plans=1)
    assert faults(problem, found.plan) == []
    assert found.coarse_from is None


def test_a_task_shared_by_two_commissions_comes_before_both():
    shared = Task(key="buy", job="a", slots=2, teams=(("ann",),))
    problem = one_task_each(("a", 3, 50, 1), ("b", 3, 5, 1))
    problem = Problem(
        horizon=500, tasks=(*problem.tasks, shared), resources=(ANN,), jobs=problem.jobs,
        lags=(Lag(first="buy", then="a"), Lag(first="buy", then="b")),
    )  # fmt: skip
    found = search(problem, plans=10)
    assert faults(problem, found.plan) == []
    assert {key: placed.start for key, placed in found.plan.items()} == {"buy": 0, "b": 2, "a": 5}


@pytest.mark.parametrize(
    "limits, field", [({}, "seconds"), ({"plans": -1}, "plans"), ({"seconds": -0.5}, "seconds")]
)
def test_a_search_needs_a_limit(limits, field):
    with pytest.raises(OutOfRange) as caught:
        search(one_task_each(("a", 3, 5, 1)), **limits)
    assert (caught.value.field, caught.value.allowed) == (field, "0 or more")


def test_the_longest_way_of_a_commission_goes_first_where_that_is_better():
    # Ann does x (1) or y (1) first; what y painted dries for 20, then it is rubbed (1). x first: y 1 to 2,
    # rubbed at 22, complete at 23. y first: dry at 21, complete at 22, and x meanwhile.
    teams = (("ann",),)
    problem = Problem(
        horizon=500,
        tasks=tuple(Task(key=key, job="a", slots=1, teams=teams) for key in ("x", "y", "rub")),
        resources=(ANN,),
        lags=(Lag(first="y", then="rub", least=20),),
        jobs=(Job(key="a", last=("x", "rub")),),
    )
    assert (search(problem, plans=0).value, search(problem, plans=20).value) == (22, 22)
