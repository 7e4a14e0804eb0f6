"""A piece's own route changed by hand, and the shop's own templates."""

import pytest

from jobs.core.errors import Forbidden, Invalid, WrongState
from jobs.domain.commissions.piece_commands import change_piece
from jobs.domain.routes import route
from jobs.domain.stages.route_edits import add_stage, move_stage, remove_stage, set_template
from jobs.log.rebuild import compare
from jobs.models import Event, RouteTemplate, Wait
from tests.shop_fixtures import INCHES, QUICK, Work, a_maker, a_piece, stage_of

pytestmark = pytest.mark.django_db

OWN = """
key = "bench-{key}"
title = "{title}"
[[stage]]
key = "survey"
title = "Drawing approved"
before_acceptance = true
[[stage]]
key = "make"
title = "Made"
after = ["survey"]
[[stage]]
key = "deliver"
title = "Delivered"
after = ["make"]
marks = "delivered"
"""


def after(piece, key):
    return stage_of(piece, key).spec["after"]


def test_a_stage_of_the_makers_own_goes_between_two_others(work):
    piece = work.accepted(**QUICK)
    add_stage(
        work.call(), piece=piece.number, title="Fill knots with dark resin", after=["final-flatten"],
        before=["square-ends"],
    )  # fmt: skip
    assert after(piece, "added-1") == ["final-flatten"]
    assert after(piece, "square-ends") == ["added-1"]
    assert "Fill knots" not in "".join(Event.objects.values_list("body", flat=True))
    work.do_until(piece, "final-flatten")
    work.do(piece, "added-1", "square-ends")
    assert compare() == []


def test_a_removed_stage_hands_on_what_it_came_after_and_what_held_it(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "glue-up")
    remove_stage(work.call(), piece=piece.number, stage="clamps-off")
    assert after(piece, "cure-off") == ["glue-up"]
    assert Wait.objects.get(stage__piece=piece, kind="unclamp").holds == ["cure-off"]
    assert compare() == []


def test_a_stage_that_starts_the_time_of_others_is_not_taken_out(work):
    piece = work.accepted(**QUICK)
    with pytest.raises(WrongState, match="Squeeze-out scraped, Clamps off, Cures off the clamps") as refused:
        remove_stage(work.call(), piece=piece.number, stage="glue-up")
    assert (refused.value.field, refused.value.value) == ("stage", "glue-up")
    assert piece.stages.filter(key="glue-up").exists()


def test_a_moved_stage_comes_after_other_stages(work):
    piece = work.accepted(**QUICK)
    move_stage(work.call(), piece=piece.number, stage="edge-profile", after=["final-flatten"])
    assert after(piece, "edge-profile") == ["final-flatten"]
    work.do_until(piece, "final-flatten")
    work.do(piece, "edge-profile", "square-ends")


def test_a_ring_is_refused_with_its_stages_named(work):
    piece = work.accepted(**QUICK)
    with pytest.raises(Invalid) as refused:
        move_stage(work.call(), piece=piece.number, stage="rip", after=["layout"])
    assert "rip" in refused.value.value and "layout" in refused.value.value
    assert not Event.objects.filter(kind="route_changed").exists()


@pytest.mark.parametrize("after_what", [[], ["varnish-the-dog"]])
def test_predecessors_must_be_on_the_route(work, after_what):
    piece = work.accepted(**QUICK)
    with pytest.raises(Invalid) as refused:
        move_stage(work.call(), piece=piece.number, stage="rip", after=after_what)
    assert "layout" in refused.value.allowed


def test_what_was_begun_is_neither_removed_nor_moved(work):
    piece = work.accepted(**QUICK)
    work.do_until(piece, "rip")
    for change in (
        lambda: remove_stage(work.call(), piece=piece.number, stage="rip"),
        lambda: move_stage(work.call(), piece=piece.number, stage="rip", after=["survey"]),
        lambda: add_stage(
            work.call(), piece=piece.number, title="Between", after=["final-mill"], before=["rip"]
        ),
    ):
        with pytest.raises(WrongState):
            change()
    with pytest.raises(WrongState):
        remove_stage(work.call(), piece=piece.number, stage="deliver")


def test_changes_that_bear_on_no_stage_keep_an_edited_route(work):
    piece = work.accepted(**QUICK)
    remove_stage(work.call(), piece=piece.number, stage="sand")
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"width": "31"})
    assert not piece.stages.filter(key="sand").exists()
    with pytest.raises(WrongState):
        change_piece(work.call(), piece=piece.number, units=INCHES, asked={"stiffeners": "yes"})
    assert compare() == []


def test_a_template_of_the_shop_is_versioned_and_a_running_piece_keeps_its_own(work):
    set_template(work.call(), text=OWN.format(key="simple", title="Simple"))
    piece = work.accepted(route="bench-simple", label="Shelf")
    longer = (
        OWN.format(key="simple", title="Simple")
        + '[[stage]]\nkey = "wax"\ntitle = "Waxed"\nafter = ["make"]\n'
    )
    set_template(work.call(), text=longer)
    assert list(RouteTemplate.objects.values_list("version", flat=True)) == [1, 2]
    assert [s["key"] for s in route("bench-simple").stages][-1] == "wax"
    assert not piece.stages.filter(key="wax").exists()
    change_piece(work.call(), piece=piece.number, units=INCHES, asked={"label": "Shelf by the door"})
    assert not piece.stages.filter(key="wax").exists()
    newer = a_piece(work.call(), piece.commission, route="bench-simple", label="Other shelf")
    assert newer.stages.filter(key="wax").exists()
    assert compare() == []


def test_a_bad_template_is_refused_and_a_maker_sets_none(work):
    with pytest.raises(Invalid) as refused:
        set_template(
            work.call(), text=OWN.format(key="ring", title="Ring").replace('["survey"]', '["deliver"]')
        )
    assert "make" in refused.value.value and "deliver" in refused.value.value
    maker = Work(a_maker(), now=work.now)
    with pytest.raises(Forbidden):
        set_template(maker.call(), text=OWN.format(key="simple", title="Simple"))
    assert not RouteTemplate.objects.exists()
