"""Clamps and places: who holds what, and when it becomes free."""

import pytest

from calcs.kit.errors import CalcError
from calcs.kit.units import inches
from jobs.core.errors import Invalid, WrongState
from jobs.domain.commissions.commissions import move_commission
from jobs.domain.stages.clamps import add_equipment, change_equipment, free_clamps, retire_equipment
from jobs.domain.stages.commands import put_back_stage, skip_stage
from jobs.domain.stages.equipment_queries import equipment_views
from jobs.domain.stages.rework import redo_stage
from jobs.domain.stages.route_edits import add_stage
from jobs.log.rebuild import compare
from jobs.models import Equipment, Event, Hold
from jobs.models.bases import row_key
from tests.shop_fixtures import INCHES, SHORT, good, stage_of

pytestmark = pytest.mark.django_db


def equipment(work, **asked):
    done = add_equipment(
        work.call(), **{"kind": "clamp", "count": 12, "reach": "36", "units": INCHES, **asked}
    )
    return Equipment.objects.get(id=row_key(done.events[0].seq))


@pytest.fixture
def clamps(work):
    return equipment(work, name="Pipe clamps")


def at_the_glue(work):
    piece = work.accepted(**SHORT)
    work.do(piece, "survey")
    return piece


def glue(work, piece, **clamps):
    return work.start(piece, "glue-up", measured=good(piece, "glue-up", "start"), clamps=clamps)


def free(one):
    return equipment_views([Equipment.objects.get(id=one.id)])[0]["free"]


def test_a_glue_up_holds_its_clamps_until_they_are_off(work, clamps):
    piece = at_the_glue(work)
    glue(work, piece, **{str(clamps.id): 8})
    view = equipment_views([clamps])[0]
    assert (view["free"], view["reach_len"]) == (4, inches(36))
    assert [(h["piece"], h["title"], h["count"]) for h in view["held_by"]] == [(piece.number, "Glue-up", 8)]
    work.go(minutes=10)
    work.finish(piece, "glue-up", measured=good(piece, "glue-up", "finish"))
    work.do(piece, "scrape")
    assert free(clamps) == 4
    work.do(piece, "clamps-off")
    assert free(clamps) == 12
    assert compare() == []


def test_more_than_is_free_is_refused_naming_what_holds_them(work, clamps):
    first, second = at_the_glue(work), at_the_glue(work)
    glue(work, first, **{str(clamps.id): 8})
    before = Event.objects.count()
    with pytest.raises(WrongState) as refused:
        glue(work, second, **{str(clamps.id): 5})
    assert refused.value.detail == f"4 of 12 are free: {first.number} Glue-up holds 8"
    assert (refused.value.field, refused.value.allowed) == (f"clamps.{clamps.id}", "0 to 4")
    assert refused.value.extra["held"] == [{"piece": first.number, "stage": "glue-up", "count": 8}]
    assert Event.objects.count() == before and stage_of(second, "glue-up").step == "planned"
    glue(work, second, **{str(clamps.id): 4})
    assert free(clamps) == 0


@pytest.mark.parametrize("count", [-1, 13])
def test_counts_that_cannot_be(work, clamps, count):
    with pytest.raises(WrongState) as refused:
        glue(work, at_the_glue(work), **{str(clamps.id): count})
    assert refused.value.allowed == "0 to 12"


def test_only_clamps_are_taken_and_only_at_the_clamps(work, clamps):
    bench, piece = equipment(work, kind="bench place", reach="", count=1), at_the_glue(work)
    gone = equipment(work)
    retire_equipment(work.call(), equipment=gone.id)
    for key in (str(bench.id), str(gone.id), "7", "all", "9" * 30):
        with pytest.raises(Invalid) as refused:
            glue(work, piece, **{key: 1})
        assert refused.value.field == f"clamps.{key}" and refused.value.allowed == str(clamps.id)
    other = work.accepted(**SHORT)
    with pytest.raises(WrongState, match="takes no clamps"):
        work.start(other, "survey", clamps={str(clamps.id): 1})


def test_putting_back_and_redoing_free_them(work, clamps):
    piece = at_the_glue(work)
    glue(work, piece, **{str(clamps.id): 8})
    put_back_stage(work.call(), piece=piece.number, stage="glue-up")
    assert free(clamps) == 12
    glue(work, piece, **{str(clamps.id): 8})
    work.go(minutes=10)
    work.finish(piece, "glue-up", measured=good(piece, "glue-up", "finish"))
    redo_stage(work.call(), piece=piece.number, stage="survey", reason="the joint opened")
    assert free(clamps) == 12 and not Hold.objects.exists()
    assert compare() == []


def test_a_skipped_clamps_off_frees_them(work, clamps):
    piece = at_the_glue(work)
    glue(work, piece, **{str(clamps.id): 8})
    work.finish(piece, "glue-up", measured=good(piece, "glue-up", "finish"))
    skip_stage(work.call(), piece=piece.number, stage="clamps-off", reason="taken off at night")
    assert free(clamps) == 12


def test_clamps_can_be_freed_by_hand_once(work, clamps):
    piece = at_the_glue(work)
    glue(work, piece, **{str(clamps.id): 8})
    free_clamps(work.call(), piece=piece.number, stage="glue-up")
    assert free(clamps) == 12
    with pytest.raises(WrongState):
        free_clamps(work.call(), piece=piece.number, stage="glue-up")


def test_an_own_stage_at_the_clamps_gives_them_back_with_its_end(work, clamps):
    piece = at_the_glue(work)
    add_stage(work.call(), piece=piece.number, title="Glue the edging on", after=["survey"], place="clamps")
    work.start(piece, "added-1", clamps={str(clamps.id): 3})
    assert free(clamps) == 9
    work.finish(piece, "added-1")
    assert free(clamps) == 12


def test_a_cancelled_commission_holds_nothing(work, clamps):
    piece = at_the_glue(work)
    glue(work, piece, **{str(clamps.id): 8})
    move_commission(work.call(), commission=piece.commission.number, to="cancelled", reason="house sold")
    assert free(clamps) == 12
    assert compare() == []


def test_held_equipment_stays(work, clamps):
    piece = at_the_glue(work)
    glue(work, piece, **{str(clamps.id): 8})
    with pytest.raises(WrongState, match=piece.number):
        retire_equipment(work.call(), equipment=clamps.id)
    with pytest.raises(WrongState) as refused:
        change_equipment(work.call(), equipment=clamps.id, units=INCHES, count=7)
    assert refused.value.allowed == "8 to 500"
    change_equipment(work.call(), equipment=clamps.id, units=INCHES, count=8, reach="1 m", name="Bar clamps")
    view = equipment_views([Equipment.objects.get(id=clamps.id)])[0]
    assert (view["free"], view["name"], view["reach_len"]) == (0, "Bar clamps", 8_000_000)
    assert compare() == []


def test_places_are_held_by_the_work_that_is_under_way_there(work):
    bench = equipment(work, kind="bench place", reach="", count=2)
    assert free(bench) == 2
    piece = work.accepted(**SHORT)
    work.start(piece, "survey")
    view = equipment_views([bench])[0]
    assert view["free"] == 1 and view["held_by"][0]["piece"] == piece.number


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({"kind": "nail"}, "kind"),
        ({"count": 0}, "count"),
        ({"count": 501}, "count"),
        ({"reach": ""}, "reach"),
        ({"reach": "300"}, "reach"),
        ({"kind": "bench place"}, "reach"),
        ({"name": "x" * 121}, "name"),
    ],
)
def test_equipment_that_cannot_be(work, wrong, field):
    before = Event.objects.count()
    with pytest.raises((Invalid, CalcError)) as refused:
        equipment(work, **wrong)
    assert refused.value.field == field and refused.value.allowed
    assert Event.objects.count() == before


def test_clamps_have_a_kind_and_places_have_none(work):
    named, told = equipment(work, clamp_kind="parallel jaw"), equipment(work)
    place = equipment(work, kind="bench place", reach="")
    assert (named.clamp_kind, told.clamp_kind) == ("parallel jaw", "bar or pipe")
    assert [view["clamp_kind"] for view in equipment_views([named, place])] == ["parallel jaw", ""]
    change_equipment(work.call(), equipment=told.id, clamp_kind="pipe", units=INCHES)
    assert Equipment.objects.get(id=told.id).clamp_kind == "pipe"
    for kind, clamp_kind, allowed in (("clamp", "vice", "hand screw"), ("bench place", "pipe", "nothing")):
        with pytest.raises(Invalid) as caught:
            equipment(work, kind=kind, reach="40" if kind == "clamp" else "", clamp_kind=clamp_kind)
        assert caught.value.field == "clamp_kind" and allowed in caught.value.allowed
    assert compare() == []


def test_the_pressure_of_a_piece_is_that_of_the_clamps_of_the_shop(work):
    equipment(work, count=40, reach="60", clamp_kind="parallel jaw")
    piece = work.accepted(**SHORT)
    result = piece.computed["clamping"]["result"]
    assert {each["kind"] for each in result["use"]} == {"parallel jaw"}
    assert any("parallel jaw" in source for source in piece.computed["clamping"]["source"])
