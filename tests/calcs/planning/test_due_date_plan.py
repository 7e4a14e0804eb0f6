"""Plans of small shops that can be worked by hand. One slot is 5 minutes; the shops open at slot 0."""

from dataclasses import replace

import pytest

from calcs.kit.errors import CalcError, OutOfRange, Unknown
from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Hold, Job, Lag, Problem, Resource, Task, slots_of
from calcs.planning.search import search

ANN, BEN = Resource(key="ann"), Resource(key="ben")


def task(key, slots, job="a", teams=(("ann",),), **more):
    return Task(key=key, job=job, slots=slots, teams=teams, **more)


def shop(*tasks, resources=(ANN,), horizon=1000, due=None, **more):
    keys = dict.fromkeys(t.job for t in tasks)
    last = {job: tuple(t.key for t in tasks if t.job == job) for job in keys}
    jobs = tuple(Job(key=job, last=last[job], due=(due or {}).get(job)) for job in keys)
    return Problem(horizon=horizon, tasks=tasks, resources=resources, jobs=jobs, **more)


def starts(problem):
    plan = due_date_plan(problem)
    assert faults(problem, plan) == []
    return {key: placed.start for key, placed in plan.items()}


def test_one_person_does_one_thing_after_another():
    # 3 + 4 slots by one person: 0 to 3, then 3 to 7.
    assert starts(shop(task("saw", 3), task("sand", 4), lags=(Lag(first="saw", then="sand"),))) == {
        "saw": 0, "sand": 3,
    }  # fmt: skip


def test_the_earlier_due_date_goes_first():
    two = shop(task("x", 5, "late"), task("y", 5, "soon"), due={"late": 90, "soon": 40})
    assert starts(two) == {"y": 0, "x": 5}


def test_work_lies_inside_open_time():
    # Open 0 to 4 and 10 to 20: 3 slots fit into the first window, 5 only into the second.
    open_slots = slots_of([(0, 4), (10, 20)])
    two = shop(task("a", 3), task("b", 5), resources=(replace(ANN, open=open_slots),))
    assert starts(two) == {"a": 0, "b": 10}


def test_a_wait_has_a_least_and_a_most():
    # Glued 0 to 2; scraped 4 to 6 slots later: from slot 6. Ann is closed from 6 to 20, so both move:
    # scraping at 20 needs the end of gluing in 14 to 16, and she is closed then; the first gluing whose
    # scraping falls into open time starts at 20 and ends at 22, scraping from 26 on.
    open_slots = slots_of([(0, 6), (20, 100)])
    problem = shop(
        task("glue", 2), task("scrape", 1), resources=(replace(ANN, open=open_slots),),
        lags=(Lag(first="glue", then="scrape", least=4, most=6),),
    )  # fmt: skip
    assert starts(problem) == {"glue": 20, "scrape": 26}


def test_a_negative_lag_lets_a_follower_begin_before_the_end():
    # Ben may begin 4 slots before Ann ends at 10.
    problem = shop(
        task("a", 10), task("b", 3, teams=(("ben",),)), resources=(ANN, BEN),
        lags=(Lag(first="a", then="b", least=-4),),
    )  # fmt: skip
    assert starts(problem) == {"a": 0, "b": 6}


def test_clamps_are_held_until_they_come_off():
    # 6 clamps; each glue-up holds 4 from its start to the end of unclamping, 20 slots after gluing.
    # First: gluing 0 to 2, off 22 to 23. Second: gluing from 23 on, off at 45.
    tasks = [
        task(f"{what}{n}", slots, job=str(n)) for n in (1, 2) for what, slots in (("glue", 2), ("off", 1))
    ]
    problem = shop(
        *tasks, resources=(ANN, Resource(key="clamps", capacity=6)), due={"1": 30, "2": 60},
        lags=tuple(Lag(first=f"glue{n}", then=f"off{n}", least=20) for n in (1, 2)),
        holds=tuple(Hold(resource="clamps", units=4, first=f"glue{n}", last=f"off{n}") for n in (1, 2)),
    )  # fmt: skip
    assert starts(problem) == {"glue1": 0, "off1": 22, "glue2": 23, "off2": 45}


def test_clamps_in_use_now_are_free_once_they_come_off():
    # The last two clamps come off by a task of 1 slot that may start at 30: free from 31 on.
    problem = shop(
        task("off", 1, "old", starts=~((1 << 30) - 1)), task("glue", 2, "new", uses={"clamps": 1}),
        resources=(ANN, Resource(key="clamps", capacity=2)), due={"new": 5, "old": 900},
        holds=(Hold(resource="clamps", units=2, first="", last="off"),),
    )  # fmt: skip
    assert starts(problem) == {"off": 30, "glue": 31}


def test_a_coat_keeps_its_place_and_nobody_sands_there():
    # The coat takes 2 slots and keeps one of two places for 50; sanding needs both.
    problem = shop(
        task("coat", 2, "a", keeps={"room": 50}), task("sand", 3, "b", uses={"room": 2}),
        resources=(ANN, Resource(key="room", capacity=2)), due={"a": 10, "b": 20},
    )  # fmt: skip
    assert starts(problem) == {"coat": 0, "sand": 50}


def test_units_in_use_already_are_left_alone():
    problem = shop(task("a", 3), resources=(replace(ANN, taken=((0, 7, 1),)),))
    assert starts(problem) == {"a": 7}


def test_two_people_at_once_and_the_choice_between_them():
    # Lifting needs both; then each of the two does one of the next tasks at the same time.
    teams = (("ann",), ("ben",))
    problem = shop(
        task("lift", 2, teams=(("ann", "ben"),)), task("x", 5, teams=teams), task("y", 5, teams=teams),
        resources=(ANN, BEN), lags=(Lag(first="lift", then="x"), Lag(first="lift", then="y")),
    )  # fmt: skip
    plan = due_date_plan(problem)
    assert faults(problem, plan) == []
    assert [plan[key].start for key in ("lift", "x", "y")] == [0, 2, 2]
    assert plan["lift"].team == ("ann", "ben")
    assert {plan["x"].team, plan["y"].team} == {("ann",), ("ben",)}


def test_a_pinned_task_keeps_its_slots():
    # The delivery is fixed at 4; sanding of 5 slots is due first and yet goes after it.
    problem = shop(
        task("sand", 5, "soon"), task("deliver", 2, "late", starts=1 << 4), due={"soon": 5, "late": 900}
    )
    assert starts(problem) == {"deliver": 4, "sand": 6}


def test_what_comes_before_a_pinned_task_is_done_in_time():
    # Packing (3) comes before the delivery at 6. By due date alone the sanding (5) would take 0 to 5.
    problem = shop(
        task("sand", 5, "soon"), task("pack", 3, "late"), task("deliver", 2, "late", starts=1 << 6),
        due={"soon": 5, "late": 900}, lags=(Lag(first="pack", then="deliver"),),
    )  # fmt: skip
    assert starts(problem) == {"pack": 0, "deliver": 6, "sand": 8}


def test_evenings_are_left_free():
    # Slots 4 to 8 are an evening: 3 slots after 3 go to the next morning.
    problem = shop(task("a", 3), task("b", 3), unwanted=slots_of([(4, 8)]))
    assert starts(problem) == {"a": 0, "b": 8}


def test_a_missed_window_is_dropped_and_named():
    # The first coat is done (fixed at 0); the next was wanted within 5 slots, and Ann opens at 40.
    missed = Lag(first="coat1", then="coat2", least=2, most=5)
    problem = shop(
        task("coat1", 2, teams=(), starts=1), task("coat2", 2),
        resources=(replace(ANN, open=slots_of([(40, 90)])),), lags=(missed,),
    )  # fmt: skip
    found = search(problem, plans=0)
    assert found.dropped == (missed,)
    assert found.plan["coat2"].start == 40
    assert faults(replace(problem, lags=(replace(missed, most=None),)), found.plan) == []


GOOD = shop(task("a", 3), task("b", 3), lags=(Lag(first="a", then="b"),))
FIRST = GOOD.tasks[0]
UNITS = "holds: units of ann until b"


@pytest.mark.parametrize(
    "changed, error, field",
    [
        ({"horizon": 0}, OutOfRange, "horizon"),
        ({"unwanted_points": -1}, OutOfRange, "unwanted_points"),
        ({"tasks": (FIRST, FIRST)}, CalcError, "tasks"),
        ({"resources": (ANN, ANN)}, CalcError, "resources"),
        ({"resources": (replace(ANN, capacity=-1),)}, OutOfRange, "resources: capacity of ann"),
        ({"resources": (replace(ANN, taken=((5, 3, 1),)),)}, OutOfRange, "resources: taken of ann"),
        ({"resources": (replace(ANN, open=0),)}, OutOfRange, "resources: open of ann"),
        ({"resources": (replace(ANN, open=3),)}, OutOfRange, "tasks: slots of a"),
        ({"resources": ()}, Unknown, "tasks: teams of a"),
        ({"tasks": (replace(FIRST, job="z"), GOOD.tasks[1])}, Unknown, "tasks: job of a"),
        ({"tasks": (replace(FIRST, slots=-1), GOOD.tasks[1])}, OutOfRange, "tasks: slots of a"),
        ({"tasks": (replace(FIRST, uses={"saw": 1}), GOOD.tasks[1])}, Unknown, "tasks: uses of a"),
        ({"tasks": (replace(FIRST, uses={"ann": -1}), GOOD.tasks[1])}, OutOfRange, "tasks: uses of a"),
        ({"tasks": (replace(FIRST, uses={"ann": 1}), GOOD.tasks[1])}, OutOfRange, "tasks: ann for a"),
        ({"tasks": (replace(FIRST, keeps={"saw": 9}), GOOD.tasks[1])}, Unknown, "tasks: keeps of a"),
        ({"tasks": (replace(FIRST, starts=0), GOOD.tasks[1])}, OutOfRange, "tasks: starts of a"),
        ({"lags": (Lag(first="a", then="z"),)}, Unknown, "lags"),
        ({"lags": (Lag(first="a", then="b", least=5, most=4),)}, OutOfRange, "lags: most from a to b"),
        ({"lags": (Lag(first="a", then="b"), Lag(first="b", then="a"))}, CalcError, "lags"),
        ({"jobs": (Job(key="a", last=()),)}, OutOfRange, "jobs: last of a"),
        ({"jobs": (Job(key="a", last=("z",)),)}, Unknown, "jobs: last of a"),
        ({"jobs": (Job(key="a", last=("b",), weight=-1),)}, OutOfRange, "jobs: weight of a"),
        ({"holds": (Hold(resource="saw", units=1, first="a", last="b"),)}, Unknown, "holds"),
        ({"holds": (Hold(resource="ann", units=1, first="z", last="b"),)}, Unknown, "holds"),
        ({"holds": (Hold(resource="ann", units=2, first="a", last="b"),)}, OutOfRange, UNITS),
        ({"horizon": 3}, OutOfRange, "tasks"),
    ],
)  # fmt: skip
def test_a_problem_at_fault_is_refused_by_name(changed, error, field):
    with pytest.raises(error) as caught:
        due_date_plan(replace(GOOD, **changed))
    assert (type(caught.value), caught.value.field) == (error, field)
    assert caught.value.allowed


def test_a_circle_names_its_tasks():
    lags = (Lag(first="a", then="b"), Lag(first="b", then="a"))
    with pytest.raises(CalcError, match=r"(a -> b -> a|b -> a -> b) wait for one another"):
        due_date_plan(replace(GOOD, lags=lags))


def test_a_pin_that_cannot_be_kept_is_refused_by_name():
    pinned = replace(GOOD, tasks=(FIRST, replace(GOOD.tasks[1], starts=1 << 2)))
    with pytest.raises(OutOfRange, match="b finds no room; it has to start by slot 2") as caught:
        due_date_plan(pinned)
    assert caught.value.value == "b"
