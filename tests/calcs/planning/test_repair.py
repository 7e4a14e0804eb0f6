"""Re-planning after an event: small shops by hand, and events in synthetic ones."""

from dataclasses import replace

import pytest

from calcs.planning.checker import faults
from calcs.planning.problem import Job, Lag, Problem, Resource, Task, span
from calcs.planning.repair import repair
from tests.benchmarks.planning.instances import shop
from tests.benchmarks.planning.replanning import events, shift

ANN = Resource(key="ann")
TEAM = (("ann",),)
SHOP = Problem(
    horizon=500,
    tasks=tuple(Task(key=key, job=key, slots=5, teams=TEAM) for key in "abc"),
    resources=(ANN,),
    jobs=tuple(Job(key=key, last=(key,), due=due) for key, due in zip("abc", (50, 30, 90), strict=True)),
)
PUBLISHED = {"a": 10, "b": 20, "c": 40}


def starts(problem, published, plans):
    found = repair(problem, published, plans=plans)
    assert faults(problem, found.plan) == []
    return {key: placed.start for key, placed in found.plan.items()}


@pytest.mark.parametrize("plans", [0, 30])
def test_without_an_event_nothing_moves(plans):
    assert starts(SHOP, PUBLISHED, plans) == PUBLISHED


def test_only_what_must_move_moves():
    # Ann is away from 10 to 17: a takes 17 to 22, so b goes to 22 and c stays.
    away = replace(SHOP, resources=(replace(ANN, taken=((10, 17, 1),)),))
    assert starts(away, PUBLISHED, 0) == {"a": 17, "b": 22, "c": 40}


def test_the_search_moves_one_commission_far_rather_than_many():
    # Ann is away from 10 to 20. In the published order a goes to 20 and b to 25: 10 and 5 slots moved, b ends
    # at 30, 4 late, a at 25, c at 45: 15 + 40 + 100 points. b first: it stays and ends at 25, a moves to 25,
    # ends at 30, in time: 15 + 100 points.
    away = replace(
        SHOP,
        resources=(replace(ANN, taken=((10, 20, 1),)),),
        jobs=tuple(replace(job, due=26) if job.key == "b" else job for job in SHOP.jobs),
    )
    assert starts(away, PUBLISHED, 0) == {"a": 20, "b": 25, "c": 40}
    assert starts(away, PUBLISHED, 40) == {"a": 25, "b": 20, "c": 40}


def test_new_work_goes_where_it_leaves_the_rest_alone():
    more = Task(key="d", job="c", slots=8, teams=TEAM)
    problem = replace(SHOP, tasks=(*SHOP.tasks, more), lags=(Lag(first="d", then="c"),))
    assert starts(problem, PUBLISHED, 0) == {**PUBLISHED, "d": 0}


def test_what_has_started_stays():
    problem = replace(SHOP, tasks=(replace(SHOP.tasks[0], starts=1 << 10, slots=12), *SHOP.tasks[1:]))
    assert starts(problem, PUBLISHED, 20) == {"a": 10, "b": 22, "c": 40}


def test_the_best_plan_of_a_synthetic_shop_stands_as_it_is():
    known = shop("m2_s1")
    published = {key: placed.start for key, placed in known.best_plan.items()}
    assert starts(known.problem, published, 0) == published


def test_the_search_moves_less_than_the_plain_repair():
    chosen = [
        event for event in events() if event.name in ("m1_s2, day 7: a day lost", "m2_s2, day 7: a day lost")
    ]
    plain = [shift(event, repair(event.problem, event.published, plans=0).plan) for event in chosen]
    found = [repair(event.problem, event.published, plans=60) for event in chosen]
    for event, new in zip(chosen, found, strict=True):
        assert faults(event.problem, new.plan) == []
    moved = [shift(event, new.plan) for event, new in zip(chosen, found, strict=True)]
    assert sum(moved) <= 0.9 * sum(plain)


def test_a_lost_day_moves_nothing_before_it():
    event = next(events())
    lost = span(8 * 288, 288)
    found = repair(event.problem, event.published, plans=0)
    for task in event.problem.tasks:
        start, published = found.plan[task.key].start, event.published[task.key]
        assert start >= published
        assert not span(start, task.slots) & lost
        assert start == published or published >= 7 * 288
