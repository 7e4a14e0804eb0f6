"""The independent checker: a correct plan of a small shop, broken on purpose in every way."""

import time
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.planning.checker import faults
from calcs.planning.problem import Hold, Job, Lag, Placed, Plan, Problem, Resource, Task, slots_of, span
from tests.benchmarks.planning.instances import SHOPS, shop

DAY = 288
HOURS = slots_of([(96, 144), (156, 204), (DAY + 96, DAY + 144), (DAY + 156, DAY + 204)])
"""Two days from 8:00 to 12:00 and from 13:00 to 17:00, in slots of five minutes."""
SHOP = Problem(
    horizon=2 * DAY,
    resources=(
        Resource(key="Ann", open=HOURS),
        Resource(key="Ben", open=HOURS & ~span(156, 48)),
        Resource(key="clamps", capacity=10, taken=((0, 100, 6),)),
        Resource(key="finishing room", open=HOURS),
    ),
    tasks=(
        Task(key="glue", job="table", slots=12, teams=(("Ann", "Ben"),), starts=span(96, 20)),
        Task(key="scrape", job="table", slots=4, teams=(("Ann",), ("Ben",))),
        Task(key="unclamp", job="table", slots=2, teams=(("Ann",), ("Ben",))),
        Task(key="coat", job="table", slots=6, teams=(("Ann",),), keeps={"finishing room": 60}),
        Task(key="sand", job="bench", slots=10, teams=(("Ben",),), uses={"finishing room": 1}),
        Task(key="ready", job="table", slots=0),
    ),
    lags=(
        Lag(first="glue", then="scrape", least=2, most=8),
        Lag(first="glue", then="unclamp", least=48),
        Lag(first="unclamp", then="coat", least=0),
        Lag(first="coat", then="ready", least=60, most=60),
    ),
    holds=(Hold(resource="clamps", units=5, first="glue", last="unclamp"),),
    jobs=(Job(key="table", last=("ready",)), Job(key="bench", last=("sand",))),
)
GOOD: Plan = {
    "glue": Placed(start=100, team=("Ann", "Ben")),
    "scrape": Placed(start=116, team=("Ben",)),
    "unclamp": Placed(start=160, team=("Ann",)),
    "coat": Placed(start=DAY + 96, team=("Ann",)),
    "sand": Placed(start=DAY + 156, team=("Ben",)),
    "ready": Placed(start=DAY + 162),
}


def with_(key: str, start: int, *team: str) -> Plan:
    return {**GOOD, key: Placed(start=start, team=team or GOOD[key].team)}


def test_a_correct_plan_has_no_fault() -> None:
    assert faults(SHOP, GOOD) == []


@pytest.mark.parametrize(
    ("broken", "says"),
    [
        ({k: v for k, v in GOOD.items() if k != "sand"}, ["Task sand is not in the plan."]),
        ({**GOOD, "mill": Placed(start=3)}, ["The plan places mill, which is no task of the problem."]),
        (with_("glue", 99), ["At slot 99 11 of clamps are in use by", "task glue", "there are 10."]),
        (with_("scrape", 113), ["Task scrape starts at slot 113, 1 too early after glue."]),
        (with_("scrape", 121), ["Task scrape starts at slot 121, 1 too late after glue."]),
        (with_("unclamp", 159, "Ann"), ["Task unclamp starts at slot 159, 1 too early after glue."]),
        (with_("unclamp", 160, "Ben"), ["unclamp from slot 160 is worked at slot 160, when Ben is closed"]),
        (with_("unclamp", 203), ["Task unclamp from slot 203 is worked at slot 204, when Ann is closed"]),
        (with_("glue", 116), ["Task glue must not start at slot 116."]),
        (with_("scrape", 116, "Ann", "Ben"), ["scrape at slot 116 has the team Ann and Ben, which"]),
        ({**GOOD, "scrape": Placed(start=116)}, ["Task scrape at slot 116 has the team of nobody"]),
        ({**GOOD, "ready": Placed(start=DAY + 162, team=("Ann",))}, ["Task ready at slot 450 needs nobody"]),
        (with_("sand", DAY + 150), ["worked at slot 438, when finishing room is closed"]),
        (with_("sand", DAY + 134), ["At slot 422 2 of finishing room", "what task coat left"]),
        (with_("sand", 2 * DAY), ["Task sand starts at slot 576; a start lies between 0 and 575."]),
        (with_("scrape", -3), ["Task scrape starts at slot -3; a start lies between 0 and 575."]),
    ],
)  # fmt: skip
def test_each_kind_of_fault_is_named_with_task_resource_and_slot(broken: Plan, says: list[str]) -> None:
    said = "\n".join(faults(SHOP, broken))
    assert all(words in said for words in says), said


def test_a_person_is_never_at_two_tasks() -> None:
    plan = {**with_("scrape", 116, "Ann"), "unclamp": Placed(start=118, team=("Ann",))}
    shop = replace(SHOP, lags=(SHOP.lags[0],))
    assert faults(shop, plan) == [
        "At slot 118 2 of Ann are in use by task scrape, task unclamp; there are 1."
    ]


def test_a_hold_runs_through_closed_time_until_its_last_task_ends() -> None:
    beside = Task(key="other", job="bench", slots=1, uses={"clamps": 6})
    shop = replace(SHOP, tasks=(*SHOP.tasks, beside))
    assert "At slot 150 11 of clamps" in faults(shop, {**GOOD, "other": Placed(start=150)})[0]
    assert "At slot 161 11 of clamps" in faults(shop, {**GOOD, "other": Placed(start=161)})[0]
    assert faults(shop, {**GOOD, "other": Placed(start=162)}) == []


def test_clamps_in_use_now_are_held_from_the_beginning() -> None:
    shop = replace(SHOP, holds=(*SHOP.holds, Hold(resource="clamps", units=6, first="", last="scrape")))
    said = faults(shop, GOOD)
    assert len(said) == 1 and "the hold from the beginning to task scrape" in said[0]
    assert "At slot 100" in said[0]


def test_a_hold_that_ends_before_it_begins_is_a_fault() -> None:
    shop = replace(SHOP, holds=(Hold(resource="clamps", units=5, first="coat", last="unclamp"),))
    assert faults(shop, GOOD) == [
        "The hold of clamps begins with task coat at slot 384, after task unclamp ended at slot 162."
    ]


def test_what_is_in_use_already_beyond_what_there_is_is_no_fault_of_the_plan() -> None:
    fewer = replace(SHOP.resources[2], capacity=5)
    shop = replace(SHOP, resources=(*SHOP.resources[:2], fewer, SHOP.resources[3]))
    assert faults(shop, GOOD) == []
    assert "At slot 99 11 of clamps" in "\n".join(faults(shop, with_("glue", 99)))


@pytest.mark.parametrize(
    ("problem", "says"),
    [
        (replace(SHOP, lags=(Lag(first="glue", then="mill"),)), "names the task mill, which does not"),
        (replace(SHOP, holds=(Hold(resource="rack", units=1, first="", last="coat"),)), "the resource rack"),
        (replace(SHOP, holds=(Hold(resource="rack", units=1, first="mill", last="coat"),)), "the task mill"),
        (replace(SHOP, jobs=(Job(key="table", last=("mill",)),)), "Job table ends with the task mill"),
        (replace(SHOP, tasks=(*SHOP.tasks, SHOP.tasks[0])), "Task glue is in the problem 2 times."),
        (replace(SHOP, resources=SHOP.resources[1:]), "Task glue names the resource Ann"),
    ],
)  # fmt: skip
def test_names_that_do_not_exist_are_faults_and_not_crashes(problem: Problem, says: str) -> None:
    assert says in "\n".join(faults(problem, GOOD))


@pytest.mark.parametrize("name", SHOPS)
def test_a_plan_that_another_checker_passed_has_no_fault(name: str) -> None:
    """The best plans of the synthetic shops, found and checked by programs that are not ours."""
    known = shop(name)
    assert faults(known.problem, known.best_plan) == []


def slot_by_slot(problem: Problem, plan: Plan) -> bool:
    """Return whether a plan holds, by looking at each slot: slow, and written without the checker."""
    tasks = {task.key: task for task in problem.tasks}

    def in_use(resource: Resource, slot: int) -> int:
        units = sum(u for since, until, u in resource.taken if since <= slot < until)
        for task in problem.tasks:
            since, until = plan[task.key].start, plan[task.key].start + task.slots
            if since <= slot < until:
                units += task.uses.get(resource.key, 0) + plan[task.key].team.count(resource.key)
            units += since <= slot < since + task.keeps.get(resource.key, 0)
        for hold in problem.holds:
            since = plan[hold.first].start if hold.first else 0
            if (
                hold.resource == resource.key
                and since <= slot < plan[hold.last].start + tasks[hold.last].slots
            ):
                units += hold.units
        return units

    for task in problem.tasks:
        mine = plan[task.key]
        if mine.start >= problem.horizon or not task.starts & span(mine.start, 1):
            return False
        if mine.team not in (task.teams or [()]):
            return False
        for resource in problem.resources:
            at_it = resource.key in task.uses or resource.key in mine.team
            if at_it and span(mine.start, task.slots) & ~resource.open:
                return False
    for lag in problem.lags:
        waited = plan[lag.then].start - plan[lag.first].start - tasks[lag.first].slots
        if waited < lag.least or (lag.most is not None and waited > lag.most):
            return False
    for hold in problem.holds:
        if plan[hold.first].start > plan[hold.last].start + tasks[hold.last].slots:
            return False
    return all(in_use(r, slot) <= r.capacity for r in problem.resources for slot in range(60))


@st.composite
def small_shops(draw: st.DrawFn) -> tuple[Problem, Plan]:
    """Draw a shop of few tasks on forty slots and any plan of it."""
    keys = ["a", "b", "c", "d"][: draw(st.integers(2, 4))]
    mostly_open = st.integers(0, 39).map(lambda slot: ~span(slot, 3)) | st.just(-1)
    resources = tuple(
        Resource(key=key, capacity=draw(st.integers(1, 3)), open=draw(mostly_open))
        for key in ("Ann", "Ben", "clamps")
    )
    teams = st.sampled_from([(), (("Ann",),), (("Ann",), ("Ben",)), (("Ann", "Ben"),)])
    units = st.dictionaries(st.just("clamps"), st.integers(0, 2))
    tasks = tuple(
        Task(
            key=key, job="top", slots=draw(st.integers(0, 6)), starts=draw(mostly_open), uses=draw(units),
            teams=draw(teams), keeps=draw(units),
        )
        for key in keys
    )  # fmt: skip
    pairs = st.tuples(st.sampled_from(keys), st.sampled_from(keys)).filter(lambda pair: pair[0] != pair[1])
    lags = tuple(
        Lag(first=first, then=then, least=draw(st.integers(-9, 3)), most=draw(st.none() | st.integers(4, 20)))
        for first, then in draw(st.lists(pairs, max_size=2))
    )
    holds = tuple(
        Hold(resource="clamps", units=1, first=first, last=last)
        for first, last in draw(st.lists(pairs, max_size=1))
    )
    plan = {
        task.key: Placed(start=draw(st.integers(0, 39)), team=draw(st.sampled_from(task.teams or [()])))
        for task in tasks
    }
    return Problem(horizon=38, tasks=tasks, resources=resources, lags=lags, holds=holds), plan


@settings(max_examples=80, deadline=None)
@given(small_shops())
def test_it_agrees_with_a_look_at_every_slot(drawn: tuple[Problem, Plan]) -> None:
    problem, plan = drawn
    assert (faults(problem, plan) == []) == slot_by_slot(problem, plan)


BREAKS: Mapping[str, Callable[[int], Plan]] = {
    "a window missed": lambda by: with_("scrape", 121 + by),
    "too early": lambda by: with_("unclamp", 159 - by),
    "outside hours": lambda by: with_("unclamp", 203 + by % 170),
    "the room twice": lambda by: with_("sand", DAY + 96 + by % 30),
    "somebody else": lambda by: with_("glue", 100, *("Ann", "Cleo", "Ben", "Ann")[by % 3 : by % 3 + 1]),
    "clamps beyond those there are": lambda by: with_("glue", 96 + by % 4),
}  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(BREAKS)), st.integers(0, 300))
def test_no_broken_plan_passes(way: str, by: int) -> None:
    broken = BREAKS[way](by)
    changed = next(key for key in GOOD if broken[key] != GOOD[key])
    assert any(f"task {changed}" in said.lower() for said in faults(SHOP, broken))


def test_fifteen_hundred_tasks_take_less_than_a_tenth_of_a_second() -> None:
    """In production it runs before each publication."""
    days = 250
    open_at = slots_of([(day * DAY + 96, day * DAY + 204) for day in range(days)])
    starts = {f"{day}-{nth}": day * DAY + 96 + 18 * nth for day in range(days) for nth in range(6)}
    problem = Problem(
        horizon=days * DAY,
        resources=(Resource(key="Ann", open=open_at), Resource(key="clamps", capacity=9)),
        tasks=tuple(
            Task(key=key, job=key[0], slots=18, teams=(("Ann",),), uses={"clamps": 1}) for key in starts
        ),
        lags=tuple(Lag(first=f"{day}-0", then=f"{day}-5", least=5) for day in range(days)),
        holds=tuple(Hold(resource="clamps", units=4, first=f"{d}-1", last=f"{d}-4") for d in range(days)),
    )
    plan = {key: Placed(start=start, team=("Ann",)) for key, start in starts.items()}
    took = []
    for _ in range(3):
        began = time.process_time()
        assert faults(problem, plan) == []
        took.append(time.process_time() - began)
    assert min(took) < 0.1
