"""The glue-up of an open piece follows hands, glue, machines and clamps until it is begun."""

from typing import Any

import pytest

from jobs.domain import lookups
from jobs.domain.stages.clamps import add_equipment
from jobs.domain.workshop.commands import set_sheet, set_shop
from jobs.log.rebuild import compare
from jobs.models import Event, Piece
from jobs.worker.outbox import dispatch_outbox
from tests.shop_fixtures import INCHES, QUICK_GLUE, TOP, Work

pytestmark = pytest.mark.django_db
WIDE = TOP | {"length": "96", "width": "42", "thickness": "1 3/4"}


def glue_ups(piece: Piece) -> int:
    return sum("gluing" in stage.spec["calcs"] for stage in piece.stages.all())


def set_and_follow(work: Work, **settings: Any) -> None:
    set_shop(work.call(), units=INCHES, settings=settings)
    dispatch_outbox(work.now)


def test_one_more_pair_of_hands_takes_a_glue_up_off_the_route(work: Work):
    """One person: 85 1/3 s a joint, two joints in 3:24, three clampings. Two: 52 2/3 s, three joints, two."""
    piece = work.accepted(**WIDE)
    assert glue_ups(piece) == 3
    set_and_follow(work, people_at_hand="2")
    assert glue_ups(piece) == 2
    set_and_follow(work, people_at_hand="1")
    assert glue_ups(piece) == 3
    assert (
        Event.objects.filter(kind="piece_changed").values_list("actor", flat=True).distinct().get() == "shop"
    )
    assert compare() == []


def test_what_does_not_bear_on_the_glue_up_changes_nothing(work: Work):
    piece = work.accepted(**WIDE)
    set_and_follow(work, hourly_rate="70")
    assert lookups.piece(piece.number).revision == piece.revision


def test_a_glue_up_that_is_begun_stays(work: Work):
    piece = work.accepted(**WIDE)
    work.do_until(piece, "glue-up-1")
    set_and_follow(work, people_at_hand="2")
    assert glue_ups(piece) == 3


def test_more_clamps_are_counted(work: Work):
    piece = work.accepted(**WIDE)
    add_equipment(work.call(), kind="clamp", count=2, reach="50", units=INCHES)
    dispatch_outbox(work.now)
    missing = lookups.piece(piece.number).computed["clamping"]["result"]["missing"]
    add_equipment(work.call(), kind="clamp", count=3, reach="50", units=INCHES)
    dispatch_outbox(work.now)
    assert lookups.piece(piece.number).computed["clamping"]["result"]["missing"] == missing - 3


def test_the_shops_sheet_of_the_glue_counts(work: Work):
    piece = work.accepted(**WIDE, glue="quick-glue")
    sheet = {"open_s": 3000, "closed_s": 4000}
    before = glue_ups(piece)
    set_sheet(work.call(), kind="glue", key="quick-glue", data={**QUICK_GLUE, **sheet})
    dispatch_outbox(work.now)
    assert glue_ups(piece) == 1 < before
