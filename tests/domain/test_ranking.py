"""The rule by which the bench orders work: examples, and what holds for any jobs."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.overviews.ranking import Job, Why, rank, why

NOW = datetime(2026, 11, 30, 10, 42, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return NOW + timedelta(minutes=minutes)


def order(*jobs: Job) -> list[str]:
    """Return the keys of jobs as the bench lists them."""
    return [job.key for job in sorted(jobs, key=lambda job: rank(job, NOW))]


DAY = [
    Job(key="scuff", closes_at=at(83)),
    Job(key="scrape", opens_at=at(3), closes_at=at(68)),
    Job(key="sanding", started_at=at(-30)),
    Job(key="planing", started_at=at(-90), paused=True),
    Job(key="rags", is_safety=True, asked_at=at(-20)),
    Job(key="cold joint", suspect=True),
    Job(key="lot number", asked_at=at(-5)),
    Job(key="recoat", missed=True),
    Job(key="mill", planned_at=at(40), frees_clamps=True),
    Job(key="rip", planned_at=at(-10), promise_on=date(2027, 1, 1)),
    Job(key="sand", planned_at=at(-60), for_others=True),
    Job(key="clamps off", frees_clamps=True),
    Job(key="glue-up", unlocks_h=24),
    Job(key="seal", unlocks_h=2),
    Job(key="layout", promise_on=date(2026, 12, 4)),
    Job(key="edge", promise_on=date(2026, 12, 30)),
    Job(key="jig"),
    Job(key="quote", at_desk=True, promise_on=date(2026, 11, 30)),
    Job(key="clamps off later", opens_at=at(158), frees_clamps=True),
    Job(key="scrape later", opens_at=at(200), closes_at=at(260)),
]


def test_a_day_at_the_bench_is_in_this_order():
    """The window that shuts soonest first, then hands, dangers, plan, what frees, promises, desk, later."""
    shuffled = Random(3).sample(DAY, len(DAY))
    assert order(*shuffled) == [
        "scrape", "scuff", "sanding", "planing", "rags", "cold joint", "lot number", "recoat", "rip", "mill",
        "sand", "clamps off", "glue-up", "seal", "layout", "edge", "jig", "quote", "clamps off later",
        "scrape later",
    ]  # fmt: skip


def test_a_window_that_opens_later_does_not_press_yet():
    assert why(Job(key="a", opens_at=at(16), closes_at=at(60)), NOW) == Why.LATER
    assert why(Job(key="a", opens_at=at(15), closes_at=at(60)), NOW) == Why.CLOSES


def test_a_window_that_has_shut_is_missed_and_no_longer_first():
    assert why(Job(key="a", closes_at=at(-1), missed=True), NOW) == Why.MISSED


def test_more_waiting_hours_come_before_an_earlier_promise():
    long = Job(key="long", unlocks_h=48, promise_on=date(2027, 1, 1))
    short = Job(key="short", unlocks_h=2, promise_on=date(2026, 12, 1))
    assert order(short, long) == ["long", "short"]
    assert order(Job(key="b", unlocks_h=2), short) == ["short", "b"], "the promise decides between equals"


def test_the_plan_orders_what_does_not_press_and_ones_own_comes_before_anothers():
    window = Job(key="scuff", planned_at=at(300), closes_at=at(83))
    later = Job(key="clamps off", planned_at=at(158), opens_at=at(158))
    mine, theirs = Job(key="mill", planned_at=at(90)), Job(key="sand", planned_at=at(5), for_others=True)
    free = Job(key="jig", frees_clamps=True)
    assert order(later, free, theirs, mine, window) == ["scuff", "mill", "sand", "jig", "clamps off"]
    assert why(mine, NOW) == Why.PLANNED and why(later, NOW) == Why.LATER


def test_each_reason_has_a_word():
    assert [reason.word for reason in Why][:2] == ["closes", "under way"]


moments = st.integers(-5000, 5000).map(at)
jobs = st.lists(
    st.builds(
        Job,
        key=st.integers(0, 999).map(str),
        started_at=st.none() | moments,
        paused=st.booleans(),
        opens_at=st.none() | moments,
        closes_at=st.none() | moments,
        missed=st.booleans(),
        suspect=st.booleans(),
        asked_at=st.none() | moments,
        is_safety=st.booleans(),
        frees_clamps=st.booleans(),
        unlocks_h=st.integers(0, 5000),
        promise_on=st.none() | st.dates(date(2026, 1, 1), date(2028, 1, 1)),
        at_desk=st.booleans(),
        planned_at=st.none() | moments,
        for_others=st.booleans(),
    ),
    max_size=8,
    unique_by=lambda job: job.key,
)


@given(found=jobs, seed=st.integers(0, 99))
def test_any_jobs_have_one_order_however_they_come(found: list[Job], seed: int):
    keys = [rank(job, NOW) for job in found]
    assert len(set(keys)) == len(keys), "no two jobs share a place"
    assert order(*Random(seed).sample(found, len(found))) == order(*found)
    assert order(*[job for job in found if job.key in order(*found)[::2]]) == order(*found)[::2]


@given(found=jobs)
def test_open_windows_come_first_and_in_the_order_of_their_closing(found: list[Job]):
    listed = sorted(found, key=lambda job: rank(job, NOW))
    reasons = [why(job, NOW) for job in listed]
    assert reasons == sorted(reasons)
    closing = [job.closes_at for job in listed if why(job, NOW) == Why.CLOSES]
    assert all(a and b and a <= b for a, b in pairwise(closing))
    assert all(why(job, NOW) in (Why.LATER, Why.CLOSES) or not _is_ahead(job) for job in listed)


def _is_ahead(job: Job) -> bool:
    """Return whether a job that nothing else presses lies ahead."""
    other = job.at_desk or job.started_at or job.is_safety or job.suspect or job.asked_at
    return not other and job.opens_at is not None and job.opens_at > NOW
