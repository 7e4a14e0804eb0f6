"""Oil goes on and is wiped off: one coat, one safety task, in time whatever happens to the wiping."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.domain.stages.commands import skip_stage
from jobs.domain.stages.safety import settle_task
from jobs.log.rebuild import compare
from jobs.models import ReminderDue, SafetyTask, Wait
from tests.shop_fixtures import TOP, stage_of

pytestmark = pytest.mark.django_db
FIRST = timedelta(minutes=15)
WINDOW = timedelta(minutes=30)
"""Common practice, no source: as the safety task and the oil route have it."""


@pytest.fixture
def oiled(work):
    """Return a piece whose first coat of oil went on at twenty past nine."""
    piece = work.accepted(**TOP, route="edge-glued-oil", glue="quick-glue", finish_face="quick-oil")
    work.do_until(piece, "sand")
    work.now = datetime(2026, 4, 1, 9, 10, tzinfo=UTC)
    work.do(piece, "seal-1")
    return piece


def asked(piece):
    return [(t.stage, t.due_at, t.closing_at) for t in SafetyTask.objects.filter(piece=piece)]


def test_a_coat_is_asked_about_once_after_its_wiping(work, oiled):
    closing = datetime(2026, 4, 1, 17, 30, tzinfo=UTC)
    put_on = stage_of(oiled, "seal-1").finished_at
    assert asked(oiled) == [("seal-1", put_on + WINDOW + FIRST, closing)]
    work.do(oiled, "wipe-seal-1")
    wiped = stage_of(oiled, "wipe-seal-1").finished_at
    assert wiped - put_on == timedelta(minutes=20, seconds=2), "ten to soak in, ten to wipe"
    assert asked(oiled) == [("wipe-seal-1", wiped + FIRST, closing)]
    due = ReminderDue.objects.filter(task=SafetyTask.objects.get(), channel="screen")
    assert dict(due.values_list("kind", "due_at")) == {
        "safety task": wiped + FIRST, "safety task at closing": closing,
    }  # fmt: skip
    settle_task(work.call(), task=SafetyTask.objects.get().id, how="drowned in the can")
    work.do(oiled, "scuff-build-1", "build-1", "wipe-build-1")
    assert [t.stage for t in SafetyTask.objects.filter(kind="rags")] == ["wipe-seal-1", "wipe-build-1"]
    assert compare() == []


def test_rags_of_a_wiping_after_the_answer_are_asked_about_anew(work, oiled):
    settle_task(work.call(), task=SafetyTask.objects.get().id, how="spread flat on the fence")
    work.do(oiled, "wipe-seal-1")
    assert [stage for stage, *_ in asked(oiled)] == ["seal-1", "wipe-seal-1"]


def test_wiping_too_late_puts_nothing_off(work, oiled):
    (before,) = asked(oiled)
    work.go(hours=2)
    work.start(oiled, "wipe-seal-1", override={"window:wipe": "looked at every half hour"})
    work.finish(oiled, "wipe-seal-1", measured={"no_wet_spot": "yes"})
    assert asked(oiled) == [("wipe-seal-1", *before[1:])]


def test_without_a_wiping_the_question_stays(work, oiled):
    before = asked(oiled)
    work.go(minutes=11)
    skip_stage(work.call(), piece=oiled.number, stage="wipe-seal-1", reason="the wood drank it all")
    assert asked(oiled) == before and not Wait.objects.filter(kind="wipe", step="running").exists()
