"""A stage done and said once: start and finish at one moment; its minutes said afterwards, or never."""

import pytest

from jobs.core.errors import AlreadyDone, GateShut, Invalid, WrongState
from jobs.domain.commissions.labour_rates import rates
from jobs.domain.stages.commands import do_stage
from jobs.domain.stages.pauses import time_stage
from jobs.models import Event, Piece, Stage, Wait
from tests.shop_fixtures import INCHES, QUICK, SHORT, Work, good, quick_sheets, stage_of

pytestmark = pytest.mark.django_db
YES = {"drawing_approved": "yes"}


@pytest.fixture
def piece(work: Work) -> Piece:
    return work.accepted(**SHORT)


def at_once(work: Work, piece: Piece, stage: str, **more: object) -> None:
    do_stage(work.call(), piece=piece.number, stage=stage, units=INCHES, **more)


def test_it_is_started_and_finished_at_one_moment(work: Work, piece: Piece):
    at_once(work, piece, "survey", measured=YES)
    stage = stage_of(piece, "survey")
    assert stage.step == Stage.Step.DONE and stage.started_at == stage.finished_at
    kinds = Event.objects.filter(kind__in=["stage_started", "stage_finished"]).values_list("kind", flat=True)
    assert list(kinds) == ["stage_started", "stage_finished"]


def test_nobody_counted_its_minutes_and_no_rate_counts_them(work: Work, piece: Piece):
    at_once(work, piece, "survey", measured=YES)
    assert stage_of(piece, "survey").minutes is None and "survey" not in rates()


def test_minutes_said_with_it_are_counted(work: Work, piece: Piece):
    at_once(work, piece, "survey", measured=YES, minutes=30)
    assert stage_of(piece, "survey").minutes == 30 and rates()["survey"].median == 30


def test_minutes_are_said_afterwards_and_corrected(work: Work, piece: Piece):
    at_once(work, piece, "survey", measured=YES)
    for minutes in (60, 15):
        time_stage(work.call(), piece=piece.number, stage="survey", minutes=minutes)
        assert stage_of(piece, "survey").minutes == minutes


@pytest.mark.parametrize("minutes", [-1, 7 * 24 * 60 + 1])
def test_minutes_out_of_range_are_refused(work: Work, piece: Piece, minutes: int):
    at_once(work, piece, "survey", measured=YES)
    with pytest.raises(Invalid, match="minutes out of range"):
        time_stage(work.call(), piece=piece.number, stage="survey", minutes=minutes)


def test_a_stage_that_is_not_finished_has_no_minutes(work: Work, piece: Piece):
    with pytest.raises(WrongState, match="no minutes"):
        time_stage(work.call(), piece=piece.number, stage="survey", minutes=5)


def test_a_shut_gate_at_the_end_leaves_it_unbegun(work: Work, piece: Piece):
    with pytest.raises(GateShut):
        at_once(work, piece, "survey")
    assert stage_of(piece, "survey").step == Stage.Step.PLANNED


def test_it_takes_what_both_moments_ask(work: Work):
    quick_sheets(work.call())
    piece = work.accepted(**QUICK, width="12")
    work.do_until(piece, "dry-fit")
    measured = good(piece, "glue-up", "start") | good(piece, "glue-up", "finish")
    at_once(work, piece, "glue-up", measured=measured)
    assert set(measured) == set(stage_of(piece, "glue-up").measured)
    assert Wait.objects.filter(stage__piece=piece, step=Wait.Step.RUNNING).count() == 2


def test_a_stage_done_already_is_told_as_done(work: Work, piece: Piece):
    at_once(work, piece, "survey", measured=YES)
    with pytest.raises(AlreadyDone):
        at_once(work, piece, "survey", measured=YES)


def test_the_same_request_again_lands_once(work: Work, piece: Piece):
    call = work.call(key="tap-1")
    for _ in range(2):
        do_stage(call, piece=piece.number, stage="survey", units=INCHES, measured=YES)
    assert Event.objects.filter(kind="stage_finished").count() == 1
