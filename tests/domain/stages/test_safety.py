"""Rags and dust of a finish that heats by itself: a task stays open until somebody says what was done."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.core.errors import AlreadyDone, Invalid, NotFound, WrongState
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.commissions.piece_commands import remove_piece
from jobs.domain.reminders.replies import acknowledge_reminder
from jobs.domain.settings import settings
from jobs.domain.stages.commands import reopen_stage
from jobs.domain.stages.rework import redo_stage
from jobs.domain.stages.safety import settle_task, snooze_task
from jobs.domain.stages.safety_queries import open_safety_tasks
from jobs.domain.workshop.commands import set_shop
from jobs.log.rebuild import compare
from jobs.models import Event, ReminderDue, SafetyTask, Wait
from tests.shop_fixtures import SHORT, a_maker, good, stage_of

pytestmark = pytest.mark.django_db
OILED = SHORT | {"finish_face": "quick-oil", "sealing_coats": "2"}


@pytest.fixture
def oiled(work):
    """Return a top before its first coat of an oil that heats by itself, in the morning."""
    piece = work.accepted(**OILED)
    work.do_until(piece, "flatten")
    work.now = datetime(2026, 4, 1, 9, tzinfo=UTC)
    return piece


def coat(work, piece) -> SafetyTask:
    """Apply the first coat; return the task it opens."""
    work.do(piece, "seal-1")
    return SafetyTask.objects.get(piece=piece)


# NFPA, as quoted by a university workshop (read second-hand): oily rags heat by themselves. The 15 minutes
# and the second question at closing time are common practice, no source.
def test_a_coat_that_heats_opens_the_question_due_in_15_minutes_and_at_closing(work, oiled):
    work.wait_for(oiled, "seal-1")
    work.start(oiled, "seal-1", measured=good(oiled, "seal-1", "start"))
    done = work.finish(oiled, "seal-1", measured={})
    task = SafetyTask.objects.get()
    assert (task.piece, task.stage, task.kind) == (oiled, "seal-1", "rags")
    assert task.due_at == task.opened_at + timedelta(minutes=15)
    assert task.closing_at == datetime(2026, 4, 1, 17, 30, tzinfo=UTC)
    assert any("Rags dealt with?" in notice for notice in done.notices)
    due = ReminderDue.objects.filter(task=task, person=work.by.id, channel="screen")
    assert dict(due.values_list("kind", "due_at")) == {
        "safety task": task.due_at, "safety task at closing": task.closing_at,
    }  # fmt: skip
    assert compare() == []


def test_it_blocks_nothing_and_scuffing_fresh_oil_asks_for_the_dust(work, oiled):
    coat(work, oiled)
    work.do(oiled, "scuff-seal-2", "seal-2")
    assert list(SafetyTask.objects.values_list("stage", "kind")) == [
        ("seal-1", "rags"), ("scuff-seal-2", "dust"), ("seal-2", "rags"),
    ]  # fmt: skip


def test_a_finish_that_does_not_heat_asks_nothing(work):
    piece = work.accepted(**SHORT)
    work.do_until(piece, "seal-1")
    assert not SafetyTask.objects.exists()


def test_it_is_settled_by_saying_what_was_done_and_once(work, oiled):
    task = coat(work, oiled)
    for nothing in ("", "  \n"):
        with pytest.raises(Invalid) as refused:
            settle_task(work.call(), task=task.id, how=nothing)
        assert refused.value.field == "how" and refused.value.allowed
    a_maker(name="Ben")
    settle_task(work.call(), task=task.id, how="spread flat on the fence")
    task.refresh_from_db()
    assert (task.done_at, task.done_by) == (work.now, work.by.id)
    assert not ReminderDue.objects.filter(task=task).exists(), "nobody is asked any more"
    assert open_safety_tasks(now=work.now, person=work.by.id) == []
    assert "fence" not in "".join(Event.objects.values_list("body", flat=True))
    with pytest.raises(AlreadyDone):
        settle_task(work.call(), task=task.id, how="again")
    with pytest.raises(NotFound):
        settle_task(work.call(), task=5, how="drowned")
    assert compare() == []


def test_it_is_put_off_for_oneself_and_never_past_closing(work, oiled):
    task, maker = coat(work, oiled), a_maker(name="Ben")
    for until in (work.now, task.closing_at + timedelta(seconds=1)):
        with pytest.raises(Invalid) as refused:
            snooze_task(work.call(), task=task.id, person=work.by.id, until=until)
        assert refused.value.field == "until"
    snooze_task(work.call(), task=task.id, person=work.by.id, until=task.closing_at)
    due = dict(
        ReminderDue.objects.filter(kind="safety task", channel="screen").values_list("person", "due_at")
    )
    assert due == {work.by.id: task.closing_at, maker.id: task.due_at}
    work.now = task.closing_at
    with pytest.raises(Invalid):
        snooze_task(work.call(), task=task.id, person=work.by.id, until=task.closing_at + timedelta(hours=1))
    assert compare() == []


def test_no_nod_takes_it_away(work, oiled):
    coat(work, oiled)
    wait = Wait.objects.filter(step="running").first()
    with pytest.raises(Invalid):
        acknowledge_reminder(work.call(), wait=wait.id, kind="safety task", person=work.by.id)


def test_reopening_redoing_or_cancelling_the_work_does_not_cool_the_rags(work, oiled):
    task = coat(work, oiled)
    reopen_stage(work.call(), piece=oiled.number, stage="seal-1", reason="a run on the edge")
    redo_stage(work.call(), piece=oiled.number, stage="survey", reason="all wrong")
    assert stage_of(oiled, "seal-1").step == "planned"
    with pytest.raises(WrongState, match="Rags dealt with"):
        remove_piece(work.call(), piece=oiled.number)
    move_commission(work.call(), commission=oiled.commission.number, to="cancelled", reason="sold")
    assert [t["id"] for t in open_safety_tasks(now=work.now, person=work.by.id)] == [task.id]
    assert ReminderDue.objects.filter(task=task).exists()
    settle_task(work.call(), task=task.id, how="drowned in the can")
    assert compare() == []


def test_a_piece_with_settled_tasks_can_go(work, oiled):
    task = coat(work, oiled)
    snooze_task(work.call(), task=task.id, person=work.by.id, until=task.closing_at)
    settle_task(work.call(), task=task.id, how="drowned in the can")
    redo_stage(work.call(), piece=oiled.number, stage="survey", reason="all wrong")
    remove_piece(work.call(), piece=oiled.number)
    assert not SafetyTask.objects.exists()
    assert compare() == []


def test_closing_time_is_the_shops_own_on_its_clock(work, oiled, settings):
    settings.TIME_ZONE = "America/Chicago"  # at 09:00 UTC it is 04:00 there (daylight saving time, UTC-5)
    set_shop(work.call(), settings={"closing_time": "16:00"})
    assert coat(work, oiled).closing_at == datetime(2026, 4, 1, 21, tzinfo=UTC)


def test_after_closing_time_it_is_asked_again_an_hour_later(work, oiled):
    work.now = datetime(2026, 4, 1, 19, tzinfo=UTC)
    task = coat(work, oiled)
    assert task.closing_at == task.opened_at + timedelta(hours=1)


@pytest.mark.parametrize("wrong", ["25:00", "17.30", "7:30", "", None, 17])
def test_closing_time_is_a_time_of_day(work, wrong):
    with pytest.raises(Invalid) as refused:
        set_shop(work.call(), settings={"closing_time": wrong})
    assert refused.value.field == "closing_time"
    assert settings()["closing_time"] == "17:30"
