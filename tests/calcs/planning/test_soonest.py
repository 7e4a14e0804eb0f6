"""The soonest end of a job: worked by hand on small problems."""

import pytest

from calcs.kit.errors import OutOfRange
from calcs.planning.problem import Job, Lag, Problem, Resource, Task, slots_of
from calcs.planning.soonest import soonest_end

DAYS = slots_of([(0, 10), (24, 34), (48, 58)])
"""Three working days of ten slots, the nights between them fourteen."""


def a_problem(*tasks: Task, lags: tuple[Lag, ...] = (), opened: int = DAYS) -> Problem:
    last = tasks[-1].key
    maker = Resource(key="maker", open=opened)
    return Problem(
        horizon=72, tasks=tasks, resources=(maker,), lags=lags, jobs=(Job(key="table", last=(last,)),)
    )


def a_task(key: str, slots: int, **more: object) -> Task:
    return Task(key=key, job="table", slots=slots, teams=(("maker",),), **more)


def test_a_wait_runs_through_the_night_and_work_does_not():
    glue, plane = a_task("glue", 4), a_task("plane", 8)
    # glued at 4, ready at 16 in the night; the planing begins with the next day at 24 and takes 8
    assert (
        soonest_end(a_problem(glue, plane, lags=(Lag(first="glue", then="plane", least=12),)), "table") == 32
    )


def test_what_no_longer_fits_today_begins_tomorrow():
    rip, glue = a_task("rip", 6), a_task("glue", 6)
    assert soonest_end(a_problem(rip, glue, lags=(Lag(first="rip", then="glue"),)), "table") == 30


def test_its_own_starts_and_the_quicker_of_two_teams_count():
    early = Resource(key="helper", open=slots_of([(12, 20)]))
    task = Task(key="glue", job="table", slots=5, teams=(("maker",), ("helper",)), starts=slots_of([(7, 72)]))
    problem = a_problem(task)
    with_helper = Problem(horizon=72, tasks=(task,), resources=(*problem.resources, early), jobs=problem.jobs)
    assert soonest_end(problem, "table") == 29, "the maker has only three slots left on the first day"
    assert soonest_end(with_helper, "table") == 17


def test_no_room_before_the_horizon_is_said():
    long = a_task("glue", 11)
    assert soonest_end(a_problem(long), "table") is None
    first, then = a_task("rip", 2), a_task("glue", 2)
    lags = (Lag(first="rip", then="glue", least=70),)
    assert soonest_end(a_problem(first, then, lags=lags), "table") is None


def test_an_unknown_job_is_named():
    with pytest.raises(OutOfRange) as refused:
        soonest_end(a_problem(a_task("glue", 2)), "chair")
    assert (refused.value.field, refused.value.value, refused.value.allowed) == ("job", "chair", "table")
