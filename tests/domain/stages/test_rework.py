"""Pauses, skips, redoing, corrections, and the coat that came too late."""

from datetime import timedelta

import pytest

from calcs.kit.units import inches
from jobs.core.errors import AlreadyDone, GateShut, Invalid, RestsOnPaper, WrongState
from jobs.domain.stages.commands import finish_stage, put_back_stage, skip_stage
from jobs.domain.stages.pauses import pause_stage, resume_stage
from jobs.domain.stages.rework import correct_measurement, redo_stage
from jobs.log.rebuild import compare
from jobs.models import Attempt, Event, Stage, Wait
from tests.shop_fixtures import INCHES, QUICK, a_call, good, issue_checklist, stage_of

pytestmark = pytest.mark.django_db
WINDOW = {"finish_face": "water-borne", "sealing_coats": "2"}
"""A finish whose class has a latest moment for the next coat."""


def test_pauses_do_not_count_as_work(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "final-mill")
    work.start(piece, "rip")
    work.go(minutes=20)
    pause_stage(work.call(), piece=piece.number, stage="rip")
    with pytest.raises(AlreadyDone, match="is paused already: by owner at "):
        pause_stage(work.call(), piece=piece.number, stage="rip")
    work.go(hours=3)
    resume_stage(work.call(), piece=piece.number, stage="rip")
    with pytest.raises(AlreadyDone, match="is at work already: by owner at "):
        resume_stage(work.call(), piece=piece.number, stage="rip")
    work.go(minutes=10)
    work.finish(piece, "rip")
    assert stage_of(piece, "rip").minutes == 30
    assert compare() == []


def test_a_paused_stage_can_be_finished_with_what_was_worked(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "final-mill")
    work.start(piece, "rip")
    work.go(minutes=12)
    pause_stage(work.call(), piece=piece.number, stage="rip")
    work.go(days=2)
    work.finish(piece, "rip")
    assert stage_of(piece, "rip").minutes == 12


def test_an_end_before_the_start_is_refused(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "final-mill")
    work.start(piece, "rip")
    hour_before = a_call(work.by, at=work.now - timedelta(hours=1), now=work.now)
    with pytest.raises(Invalid) as refused:
        finish_stage(hour_before, piece=piece.number, stage="rip", units=INCHES)
    assert refused.value.field == "occurred_at"


def test_a_clock_that_was_set_back_does_not_hold_a_finish_up(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "final-mill")
    work.start(piece, "rip")
    work.go(hours=-1)
    work.finish(piece, "rip")
    assert stage_of(piece, "rip").minutes == 0


def test_a_skipped_stage_lets_the_next_begin_and_can_be_put_back(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "rip")
    with pytest.raises(Invalid):
        skip_stage(work.call(), piece=piece.number, stage="layout", reason=" ")
    skip_stage(work.call(), piece=piece.number, stage="layout", reason="one wide board, nothing to lay out")
    assert stage_of(piece, "layout").step == Stage.Step.SKIPPED
    work.start(piece, "joinery")
    with pytest.raises(WrongState):
        put_back_stage(work.call(), piece=piece.number, stage="layout")
    put_back_stage(work.call(), piece=piece.number, stage="joinery")
    put_back_stage(work.call(), piece=piece.number, stage="layout")
    assert stage_of(piece, "layout").step == Stage.Step.PLANNED
    assert "one wide board" not in "".join(Event.objects.values_list("body", flat=True))
    assert compare() == []


def test_what_moves_the_commission_is_not_skipped(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "final-check")
    with pytest.raises(WrongState):
        skip_stage(work.call(), piece=piece.number, stage="wrap", reason="no paper left")


def test_a_failed_glue_up_stays_on_record_and_its_stages_are_done_again(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "rough-flatten")
    first = stage_of(piece, "glue-up")
    redo_stage(work.call(), piece=piece.number, stage="joinery", reason="a joint opened")
    again = {a.stage.key for a in Attempt.objects.all()}
    assert again >= {"joinery", "dry-fit", "glue-up", "scrape", "clamps-off", "cure-off", "rough-flatten"}
    on_record = Attempt.objects.get(stage__key="glue-up")
    assert (on_record.number, on_record.finished_at, on_record.measured) == (
        1, first.finished_at, first.measured,
    )  # fmt: skip
    fresh = stage_of(piece, "glue-up")
    assert (fresh.step, fresh.attempt, fresh.finished_at) == (Stage.Step.PLANNED, 2, None)
    assert not Wait.objects.filter(stage=fresh, step=Wait.Step.RUNNING).exists()
    work.start(piece, "joinery")
    work.finish(piece, "joinery")
    assert compare() == []


def test_what_a_glue_up_left_running_is_void_once_it_is_to_be_done_again(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "glue-up")
    left = Wait.objects.filter(stage__piece=piece, stage__key="glue-up")
    assert {wait.step for wait in left} == {Wait.Step.RUNNING}
    redo_stage(work.call(), piece=piece.number, stage="glue-up", reason="a joint opened")
    assert {wait.step for wait in left.all()} == {Wait.Step.VOID}
    assert compare() == []


# A re-ripped joint costs 3/16 in of width (shop rule; common practice, no source). 30 in in strips of at most
# 6 in are five of 6 in: nothing over, so two joints leave 29 5/8 in, 3/8 in short.
def test_ripped_joints_cost_width_and_what_is_out_of_reach_is_said_at_once(work):
    piece = work.accepted(**QUICK | {"width": "30", "widest_strip": "6", "trim_width": "0"})
    work.do_until(piece, "rough-flatten")
    piece.refresh_from_db()
    first = piece.revision
    done = redo_stage(
        work.call(), piece=piece.number, stage="joinery", reason="two joints opened", joints_ripped=2
    )
    piece.refresh_from_db()
    layout = piece.computed["layout"]["result"]
    assert layout["reach_len"] == inches("237/8")
    assert layout["short_len"] == inches("3/8")
    assert any("out of reach" in notice for notice in done.notices)
    assert piece.inputs["lost_width_len"] == inches("3/8")
    assert any(c["figure"] == "reach_len" for c in piece.changed)
    assert piece.revision == first + 1
    redo = redo_stage  # a second time the losses add up
    work.do(piece, "joinery")
    redo(work.call(), piece=piece.number, stage="joinery", reason="and a third", joints_ripped=1)
    piece.refresh_from_db()
    assert piece.inputs["lost_width_len"] == inches("9/16")
    assert piece.revision == first + 2
    work.do(piece, "joinery")
    redo(work.call(), piece=piece.number, stage="joinery", reason="no joint ripped")
    piece.refresh_from_db()
    assert (piece.revision, stage_of(piece, "joinery").attempt) == (first + 2, 4)
    assert compare() == []


def test_trim_that_was_planned_for_takes_a_ripped_joint(work):
    piece = work.accepted(**QUICK | {"width": "30", "widest_strip": "6 1/2", "trim_width": "1/2"})
    work.do_until(piece, "glue-up")
    done = redo_stage(
        work.call(), piece=piece.number, stage="joinery", reason="one joint opened", joints_ripped=1
    )
    assert not any("out of reach" in notice for notice in done.notices)


@pytest.mark.parametrize("joints", [-1, 61])
def test_joints_have_a_range(work, joints):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "glue-up")
    with pytest.raises(Invalid) as refused:
        redo_stage(work.call(), piece=piece.number, stage="joinery", reason="x", joints_ripped=joints)
    assert refused.value.field == "joints_ripped"


def test_what_an_issued_paper_rests_on_is_not_redone(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "wrap")
    issue_checklist(work.call(), commission=piece.commission.number)
    with pytest.raises(RestsOnPaper):
        redo_stage(work.call(), piece=piece.number, stage="sand", reason="a scratch")


def test_redoing_what_made_the_commission_ready_takes_it_back_into_the_shop(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "wrap")
    piece.commission.refresh_from_db()
    assert piece.commission.step == "ready"
    redo_stage(work.call(), piece=piece.number, stage="final-check", reason="a dent found")
    piece.commission.refresh_from_db()
    assert piece.commission.step == "in the shop"


def test_a_corrected_measurement_is_a_new_event_and_the_old_one_stays(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "final-mill")
    where = {"piece": piece.number, "stage": "final-mill", "units": INCHES, "reason": "misread the rule"}
    with pytest.raises(GateShut):
        correct_measurement(work.call(), **where, gate="moisture_spread", value="1.4")
    with pytest.raises(Invalid):
        correct_measurement(work.call(), **where, gate="flatness", value="1/64")
    correct_measurement(work.call(), **where, gate="milled_thickness", value="1 13/16")
    assert stage_of(piece, "final-mill").measured["milled_thickness"]["len"] == inches("29/16")
    event = Event.objects.get(kind="measurement_corrected")
    assert event.data["was"]["len"] != event.data["value"]["len"]
    correct_measurement(
        work.call(), **where, gate="moisture_spread", value="1.4", override="the odd board is cut out"
    )
    assert "moisture_spread" in stage_of(piece, "final-mill").overrides
    assert compare() == []


def test_a_corrected_temperature_makes_a_water_based_joint_suspect(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "glue-up")
    assert not Wait.objects.get(stage__key="glue-up", kind="unclamp").suspect
    correct_measurement(
        work.call(), piece=piece.number, stage="glue-up", units=INCHES, gate="shop_temperature", value="5 C",
        reason="the thermometer hung by the stove", override="it is done already",
    )  # fmt: skip
    wait = Wait.objects.get(stage__key="glue-up", kind="unclamp")
    assert wait.suspect and wait.ready_s is None
    assert wait.estimate.ready_at is None
    assert compare() == []


def test_a_missed_recoat_window_puts_abrading_on_the_route(work):
    piece = work.accepted(**QUICK | WINDOW)
    work.do_until(piece, "seal-1")
    follower = next(s for s in piece.stages.all() if "seal-1" in s.spec["after"])
    wait = Wait.objects.get(stage__piece=piece, kind="recoat")
    work.now = wait.estimate.closes_at
    work.go(hours=1)
    done = work.start(piece, follower.key)
    abrade = stage_of(piece, f"abrade-{follower.key}")
    assert abrade.step == Stage.Step.UNDER_WAY
    assert any("window was missed" in notice for notice in done.notices)
    assert not piece.stages.filter(key=follower.key).exists(), "in place of a mere scuffing"
    work.go(minutes=20)
    work.finish(piece, abrade.key)
    work.start(piece, "seal-2", measured=good(piece, "seal-2", "start"))
    assert compare() == []


def test_a_reason_lets_the_late_coat_go_on_without_abrading(work):
    piece = work.accepted(**QUICK | WINDOW)
    work.do_until(piece, "seal-1")
    follower = next(s for s in piece.stages.all() if "seal-1" in s.spec["after"])
    work.now = Wait.objects.get(stage__piece=piece, kind="recoat").estimate.closes_at
    work.go(hours=1)
    work.start(piece, follower.key, override={"window:recoat": "the sheet allows it after a wipe"})
    assert stage_of(piece, follower.key).step == Stage.Step.UNDER_WAY
