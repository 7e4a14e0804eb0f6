"""When a plan is made again, what stands while a newer one fails, and what moved since an earlier day."""

import os
import signal
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from threading import Event, Thread

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from calcs.planning.problem import Placed
from calcs.planning.search import search
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.overviews import service_health
from jobs.domain.planning import planning_run, publishing
from jobs.domain.planning.planning_run import Faulty, checked
from jobs.domain.planning.problem.changes import Changes
from jobs.domain.planning.work import MOST_TASKS, TOO_FAR, problem_of_shop
from jobs.domain.stages.route_edits import add_stage
from jobs.domain.working_time.commands import set_day_off
from jobs.log.projectors import Turn, refill
from jobs.models import OutboxMessage, PlanOfDay, PublishedPlan
from jobs.worker import outbox
from tests.domain.planning.conftest import Planned
from tests.shop_fixtures import SHORT, Work
from tests.web.grown import copied

pytestmark = pytest.mark.django_db
LATER = timedelta(minutes=1)


def row() -> PublishedPlan:
    return PublishedPlan.objects.get()


def test_before_the_first_plan_there_is_none_and_one_is_due(slow: Work):
    assert publishing.current() is None
    assert publishing.is_due(PublishedPlan.objects.get_or_create(id=1)[0], slow.now)


def test_an_event_that_matters_asks_for_another_plan_and_a_note_does_not(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    planned()
    now = slow.now + LATER
    assert not publishing.is_due(row(), now)
    slow.do(piece, "survey")
    assert publishing.is_due(row(), now)
    assert not publishing.is_due(row(), row().tried_at + timedelta(seconds=1)), "a burst asks for one plan"


@pytest.mark.parametrize(("passed", "due"), [(timedelta(hours=1), False), (timedelta(hours=3), True)])
def test_a_plan_grows_old_though_nothing_happens(slow: Work, planned: Planned, passed: timedelta, due: bool):
    planned()
    assert publishing.is_due(row(), slow.now + passed) is due


def test_the_first_look_of_a_day_makes_the_plan_again(slow: Work, planned: Planned):
    slow.now = slow.now.replace(hour=23, minute=30)
    planned()
    assert publishing.is_due(row(), slow.now + timedelta(hours=1))


def test_estimates_that_move_with_the_air_ask_for_a_plan(slow: Work, planned: Planned):
    planned()
    OutboxMessage.objects.create(kind="estimate waits", subject="shop", created_at=slow.now, next_at=slow.now)
    assert outbox.dispatch_outbox(slow.now) >= 1
    assert publishing.is_due(row(), slow.now + timedelta(minutes=5))


def test_a_worker_that_dies_at_it_leaves_the_last_plan_and_another_tries_again(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    said = planned()
    slow.do(piece, "survey")
    died = slow.now + LATER
    assert publishing._claimed(row(), died, seq=10**6)
    assert publishing.current() == said
    assert not publishing.is_due(row(), died + timedelta(seconds=30))
    assert publishing.is_due(row(), died + publishing.RETRY)


def test_a_solver_killed_in_mid_run_leaves_the_last_good_plan(
    slow: Work, planned: Planned, monkeypatch: pytest.MonkeyPatch
):
    slow.accepted(**SHORT)
    said = planned()
    monkeypatch.setattr(planning_run, "LONG_S", 0.05)
    killed: list[int] = []
    is_over = Event()
    killer = Thread(target=_kill_the_solver, args=(killed, is_over))
    killer.start()
    try:
        improved = publishing.improve(slow.now + LATER)
    finally:
        is_over.set()
        killer.join()
    assert len(killed) == 1, "the solver was not asked"
    assert not improved and publishing.current() == said
    assert publishing.trouble() == ""


def _kill_the_solver(killed: list[int], is_over: Event) -> None:
    """Kill the process of the solver that this one starts, once it has loaded the solver."""
    while not killed and not is_over.wait(0.02):
        for children in Path("/proc/self/task").glob("*/children"):
            for child in map(int, children.read_text().split()):
                its_words, its_files = (_read(f"/proc/{child}/{what}") for what in ("cmdline", "maps"))
                if "solver_process" in its_words and "ortools" in its_files:
                    os.kill(child, signal.SIGKILL)
                    killed.append(child)


def _read(path: str) -> str:
    try:
        return Path(path).read_text()
    except OSError:
        return ""


@pytest.mark.both_databases
def test_of_two_workers_one_makes_the_plan(slow: Work, planned: Planned):
    planned()
    seen = row()
    assert publishing._claimed(seen, slow.now + LATER, seq=1)
    assert not publishing._claimed(seen, slow.now + LATER, seq=1)


def test_a_plan_with_a_fault_is_refused_by_the_checker(slow: Work):
    slow.accepted(**SHORT)
    shop = problem_of_shop(slow.now)
    found = search(shop.problem, plans=1)
    first = shop.problem.tasks[0].key
    at_night = replace(found, plan={**found.plan, first: Placed(start=150, team=found.plan[first].team)})
    with pytest.raises(Faulty, match="survey"):
        checked(shop, at_night, seconds=0.01)


def test_what_fails_is_told_and_the_last_good_plan_stands(slow: Work, planned: Planned):
    slow.accepted(**SHORT)
    said = planned()
    PublishedPlan.objects.update(starts={"2026-001-1/survey": ["no moment", []]})
    assert not publishing.publish(slow.now + LATER, seconds=0.05)
    stands = publishing.current()
    assert stands is not None and stands.work == said.work
    assert stands.trouble.startswith("The plan is that of 02 Mar")
    assert stands.trouble in service_health.warnings()


def test_a_rebuild_drops_the_plan_and_the_worker_makes_it_again(
    slow: Work, planned: Planned, monkeypatch: pytest.MonkeyPatch
):
    slow.accepted(**SHORT)
    said = planned()
    refill(since=Turn.PLAN)
    monkeypatch.setattr(planning_run, "QUICK_S", 0.05)
    assert publishing.current() is None
    assert publishing.keep_up(slow.now + LATER)
    again = publishing.current()
    assert again is not None and {one.stage for one in again.work} == {one.stage for one in said.work}


@pytest.mark.both_databases
def test_moves_of_an_hour_or_more_are_told_with_what_caused_them(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    planned()
    day = slow.now.date()
    assert PlanOfDay.objects.get().day == day
    assert publishing.moved_since(day) == []
    slow.go(days=1)
    tomorrow = slow.now.date()
    set_day_off(slow.call(), who=slow.by.id, first=tomorrow, last=tomorrow + timedelta(days=6), reason="Ill")
    planned()
    moved = publishing.moved_since(day)
    assert {one.why for one in moved} == {"somebody is away"}
    survey = next(one for one in moved if one.stage == "survey")
    assert survey.piece == piece.number and survey.becomes - survey.was > timedelta(days=6)
    assert [one.commission for one in moved if not one.stage] == [piece.commission.number]


def test_work_added_to_the_route_is_named_as_the_cause(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    planned()
    day = slow.now.date()
    slow.go(days=1)
    for title in ("Inlay cut", "Inlay glued", "Inlay leveled"):
        add_stage(slow.call(), piece=piece.number, title=title, after=["survey"], before=["glue-up"])
    planned()
    assert "its route changed" in {one.why for one in publishing.moved_since(day)}


def test_the_plan_takes_as_many_queries_for_many_orders_as_for_few(slow: Work):
    first, second = slow.accepted(**SHORT), slow.accepted(**SHORT)

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            problem_of_shop(slow.now)
        return len(asked)

    copied(first.commission.number, 3)
    few = queries()
    copied(second.commission.number, 45)
    assert few <= 26 and queries() <= few + 8, "a longer axis asks for hours again, at most twice"


@pytest.mark.long
def test_of_three_hundred_orders_those_that_come_first_are_planned_and_the_others_named(slow: Work):
    promised, other = slow.accepted(**SHORT), slow.accepted(**SHORT)
    copied(other.commission.number, 298)
    change_commission(
        slow.call(), commission=promised.commission.number, promise_on=slow.now.date() + timedelta(days=40)
    )
    shop = problem_of_shop(slow.now)
    assert len(shop.commissions) == 300 and len(shop.problem.tasks) <= MOST_TASKS
    assert promised.commission.number in {job.key for job in shop.problem.jobs}
    assert len(shop.not_planned) + len(shop.problem.jobs) == 300
    assert {one.why for one in shop.not_planned} == {TOO_FAR}


def test_an_order_that_is_only_tried_leaves_nothing(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    planned()
    before = dict(PublishedPlan.objects.values().get())
    asked = Changes(first=piece.commission.number, clamps={8128000: 10}, evenings=True)
    tried = problem_of_shop(slow.now, asked)
    assert tried.problem.jobs[0].weight > problem_of_shop(slow.now).problem.jobs[0].weight
    assert dict(PublishedPlan.objects.values().get()) == before
