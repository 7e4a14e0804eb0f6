"""The published plan: made from the shop's state, checked, kept while a newer one fails."""

from datetime import datetime, time

import pytest
from django.utils import timezone

from jobs.domain.planning import publishing
from jobs.domain.planning.published import Published
from jobs.models import Piece, PublishedPlan
from tests.shop_fixtures import SHORT, Work

pytestmark = pytest.mark.django_db


def planned(work: Work) -> Published:
    """Return the plan as the worker makes it now."""
    PublishedPlan.objects.update(tried_at=None)
    assert publishing.publish(work.now, seconds=0.01), PublishedPlan.objects.get().trouble
    said = publishing.current()
    assert said is not None
    return said


def begins(said: Published, piece: Piece, stage: str) -> datetime:
    return next(one.begins for one in said.work if (one.piece, one.stage) == (piece.number, stage))


def test_every_open_stage_by_hand_is_planned_in_order_in_working_hours(work: Work):
    """Where waits are shorter than a slot of the plan."""
    piece = work.accepted(**SHORT)
    said = planned(work)
    keys = [one.stage for one in said.work if one.part == 1]
    hand = [s.key for s in piece.stages.order_by("position") if not s.spec["passive"]]
    assert keys == [key for key in hand if key not in ("paid", "close")]
    assert [one.commission for one in said.finishes] == [piece.commission.number]
    assert said.finishes[0].ready_on == timezone.localdate(
        next(one.ends for one in said.work if one.stage == "wrap")
    )
    for one in said.work:
        from_, until = timezone.localtime(one.begins), timezone.localtime(one.ends)
        assert from_.weekday() < 5 and time(8) <= from_.time() < until.time() <= time(17, 30)
    wait = next(one for one in said.waits if one.kind == "scrape")
    assert wait.ends <= begins(said, piece, "scrape") <= wait.closes
