"""Minutes of work: to the nearest, whatever pauses and reopenings lie between."""

from datetime import timedelta

import pytest

from jobs.domain.stages.commands import reopen_stage
from jobs.domain.stages.pauses import pause_stage, resume_stage
from jobs.models import Piece
from tests.shop_fixtures import SHORT, Work, stage_of

pytestmark = pytest.mark.django_db
YES = {"drawing_approved": "yes"}


@pytest.fixture
def piece(work: Work) -> Piece:
    return work.accepted(**SHORT)


def finished_after(work: Work, piece: Piece, seconds: int) -> int | None:
    """Finish what is under way so many seconds after the command before; return its minutes."""
    work.go(seconds=seconds - 1)  # a call takes one second
    work.finish(piece, "survey", measured=YES)
    return stage_of(piece, "survey").minutes


@pytest.mark.parametrize("seconds, minutes", [(29, 0), (31, 1), (89, 1), (91, 2)])
def test_they_are_those_since_the_start(work: Work, piece: Piece, seconds: int, minutes: int):
    work.start(piece, "survey")
    assert finished_after(work, piece, seconds) == minutes


@pytest.mark.parametrize("seconds, minutes", [(89, 1), (91, 2)])
def test_a_pause_before_the_start_by_a_clock_set_back_counts_nothing(
    work: Work, piece: Piece, seconds: int, minutes: int
):
    work.start(piece, "survey")
    work.now -= timedelta(minutes=5)
    pause_stage(work.call(), piece=piece.number, stage="survey")
    resume_stage(work.call(), piece=piece.number, stage="survey")
    assert finished_after(work, piece, seconds) == minutes


def test_a_stage_that_took_none_goes_on_from_none(work: Work, piece: Piece):
    work.start(piece, "survey")
    work.finish(piece, "survey", minutes=0, measured=YES)
    reopen_stage(work.call(), piece=piece.number, stage="survey", reason="another drawing")
    assert finished_after(work, piece, 20 * 60) == 20
