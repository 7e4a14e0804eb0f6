"""Whether dates can be kept, and the smallest thing that gives way: by problems that can be told by hand."""

from dataclasses import replace

import pytest

from calcs.kit.errors import OutOfRange, Unknown
from calcs.planning.checker import faults
from calcs.planning.giving_way import cannot_be_met, what_gives_way
from calcs.planning.problem import Hold, Job, Lag, Problem, Resource, Task, slots_of


def one_clamp() -> Problem:
    """Return two jobs that each need the one set of clamps for 4 slots, and both want to end by slot 4.

    A third, without a date, would need the clamps as well. Two people work from 0 to 40.
    """
    hours = slots_of([(0, 40)])
    tasks = [
        Task(key=f"{job} {work}", job=job, slots=slots, teams=(("ann",), ("bob",)))
        for job in ("one", "two", "three")
        for work, slots in (("clamp", 1), ("unclamp", 1))
    ]
    return Problem(
        horizon=60,
        tasks=tuple(tasks),
        resources=(
            Resource(key="ann", open=hours), Resource(key="bob", open=hours), Resource(key="clamps"),
            Resource(key="room"),
        ),
        lags=tuple(
            Lag(first=f"{job} clamp", then=f"{job} unclamp", least=2) for job in ("one", "two", "three")
        ),
        holds=tuple(
            Hold(resource="clamps", units=1, first=f"{job} clamp", last=f"{job} unclamp")
            for job in ("one", "two", "three")
        ),
        jobs=(
            Job(key="one", last=("one unclamp",), due=4),
            Job(key="two", last=("two unclamp",), due=4),
            Job(key="three", last=("three unclamp",)),
        ),
    )  # fmt: skip


def test_one_date_alone_can_be_kept_and_the_plan_is_whole():
    met = cannot_be_met(one_clamp(), "two", 4, seconds=10)
    assert met.possible is True
    assert faults(one_clamp(), met.plan) == []
    assert met.plan["two unclamp"].start == 3


def test_both_dates_together_are_proved_impossible():
    met = cannot_be_met(one_clamp(), "two", 4, kept=["one"], seconds=10)
    assert (met.possible, met.plan) == (False, None)


def test_a_date_before_the_work_fits_is_proved_impossible_without_any_other():
    assert cannot_be_met(one_clamp(), "two", 3, seconds=10).possible is False


def test_the_smallest_things_that_give_way_are_named():
    problem = one_clamp()
    asked = what_gives_way(problem, "two", 4, kept=["one"], seconds=20)
    assert asked.met.possible is False
    # By hand: with a second set both end at 4; with one set the second to be clamped ends at 8, 4 later.
    assert [(way.kind, way.key, way.amount, way.proved) for way in asked.ways] == [
        ("resource", "clamps", 1, True), ("due", "one", 4, True), ("due", "two", 4, True),
    ]  # fmt: skip
    wider = [replace(r, capacity=2) if r.key == "clamps" else r for r in problem.resources]
    assert faults(replace(problem, resources=tuple(wider)), asked.ways[0].plan) == []
    assert all(faults(problem, way.plan) == [] for way in asked.ways[1:])


def test_evenings_are_counted_in_the_fewest_slots():
    # Ann works 0 to 4 and may work from 4 to 10; six slots of work by 8 take two slots of the evening.
    work = tuple(Task(key=key, job="top", slots=3, teams=(("ann",),)) for key in ("plane", "sand"))
    problem = Problem(
        horizon=40,
        tasks=work,
        resources=(Resource(key="ann", open=slots_of([(0, 10), (20, 30)])),),
        jobs=(Job(key="top", last=("plane", "sand"), due=8),),
        unwanted=slots_of([(4, 10)]),
    )
    asked = what_gives_way(problem, "top", 8, seconds=20)
    evening = asked.ways[0]
    assert (asked.met.possible, evening.kind, evening.amount, evening.proved) == (False, "unwanted", 2, True)
    later = asked.ways[1]
    assert (later.kind, later.key, later.amount) == ("due", "top", 15)


def test_a_change_of_the_callers_is_tried_too():
    problem = one_clamp()
    rented = replace(
        problem,
        resources=tuple(replace(r, capacity=2) if r.key == "clamps" else r for r in problem.resources),
    )
    closed = replace(
        problem, resources=tuple(replace(r, open=0b110) if r.key == "ann" else r for r in problem.resources)
    )
    asked = what_gives_way(
        problem, "two", 4, kept=["one"], changes={"rented": rented, "closed": closed}, seconds=20
    )
    assert [(way.key, way.proved) for way in asked.ways if way.kind == "change"] == [("rented", True)]


def test_where_the_date_can_be_kept_nothing_gives_way():
    asked = what_gives_way(one_clamp(), "two", 8, kept=["one"], seconds=10)
    assert (asked.met.possible, asked.ways) == (True, ())


@pytest.mark.parametrize(
    "job, due, kept, refusal, words",
    [
        ("four", 4, (), Unknown, "job four does not exist"),
        ("two", 4, ("three",), Unknown, "job three has no date to keep"),
        ("two", 61, (), OutOfRange, "due 61 of two is not in 0 to 60"),
        ("two", -1, (), OutOfRange, "due -1 of two is not in 0 to 60"),
    ],
)
def test_what_cannot_be_asked_is_refused_by_name(job, due, kept, refusal, words):
    with pytest.raises(refusal, match=words):
        cannot_be_met(one_clamp(), job, due, kept=kept, seconds=1)
