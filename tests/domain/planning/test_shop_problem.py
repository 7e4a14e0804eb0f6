"""What a plan keeps to: clamps, people, hours, clients, waits, each in a small shop."""

from datetime import date, datetime, time, timedelta

import pytest
from django.utils import timezone

from jobs.core.errors import AlreadyDone, Invalid, WrongState
from jobs.domain.commissions.commissions import change_commission
from jobs.domain.lifecycle import move
from jobs.domain.planning.appointments import set_appointment
from jobs.domain.planning.assignments import give_stage
from jobs.domain.planning.pins import pin_stage, unpin_stage
from jobs.domain.planning.published import CLOSES, FREES, PlannedWork, Published
from jobs.domain.stages.clamps import add_equipment
from jobs.domain.working_time.commands import set_day_off, set_working_hours
from jobs.domain.working_time.promises import set_blackout
from jobs.log.commands import CommandTransaction, command
from jobs.log.rebuild import compare
from jobs.models import Commission, Equipment, Piece, Stage
from tests.domain.planning.conftest import Planned
from tests.shop_fixtures import INCHES, SHORT, Work, a_client, a_commission, a_maker, a_piece, good

pytestmark = pytest.mark.django_db
DAYS = [["08:00", "12:00"], ["13:00", "17:00"]]
WEEK = [DAYS] * 5 + [[], []]


def at(said: Published, piece: Piece, stage: str) -> PlannedWork:
    return next(one for one in said.work if (one.piece, one.stage) == (piece.number, stage))


def local(moment: datetime) -> datetime:
    return timezone.localtime(moment)


def clamps(work: Work, count: int, reach: str = "40") -> None:
    add_equipment(work.call(), kind="clamp", count=count, reach=reach, units=INCHES)


def needed(piece: Piece) -> int:
    return int(Piece.objects.get(id=piece.id).computed["clamping"]["result"]["count"])


def promise(work: Work, piece: Piece, day: date) -> None:
    change_commission(work.call(), commission=piece.commission.number, promise_on=day)


def test_stages_follow_the_route_and_the_order_is_ready_when_it_is_wrapped(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    said = planned()
    hand = [s.key for s in piece.stages.order_by("position") if not s.spec["passive"]]
    assert [one.stage for one in said.work if one.part == 1] == [
        k for k in hand if k not in ("paid", "close")
    ]
    assert said.finishes[0].ready_on == local(at(said, piece, "wrap").ends).date()
    assert compare() == []


def test_work_keeps_to_hours_and_to_the_waits_between(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    said = planned()
    for one in said.work:
        assert local(one.begins).weekday() < 5
        assert time(8) <= local(one.begins).time() < local(one.ends).time() <= time(17, 30)
    waits = {one.kind: one for one in said.waits}
    assert waits["scrape"].ends <= at(said, piece, "scrape").begins <= waits["scrape"].closes
    assert at(said, piece, "clamps-off").begins >= waits["unclamp"].ends
    assert waits["unclamp"].ends - waits["unclamp"].begins >= timedelta(hours=5)
    assert at(said, piece, "flatten").begins >= waits["machine"].ends
    assert at(said, piece, "scrape").why == CLOSES


def test_a_second_glue_up_waits_for_the_clamps_of_the_first(slow: Work, planned: Planned):
    first, second = slow.accepted(**SHORT), slow.accepted(**SHORT)
    clamps(slow, needed(first))
    said = planned()
    one, other = sorted((first, second), key=lambda piece: at(said, piece, "glue-up").begins)
    assert at(said, other, "glue-up").begins >= at(said, one, "clamps-off").ends
    assert at(said, one, "clamps-off").why == FREES


def test_longer_clamps_serve_where_the_short_ones_are_too_few(slow: Work, planned: Planned):
    first, second = slow.accepted(**SHORT), slow.accepted(**SHORT)
    clamps(slow, needed(first), "40")
    clamps(slow, needed(first), "60")
    for piece in (first, second):
        slow.do(piece, "survey")
    said = planned()
    begins, off = ([at(said, p, key) for p in (first, second)] for key in ("glue-up", "clamps-off"))
    assert max(one.begins for one in begins) < min(one.ends for one in off)


def test_clamps_in_use_are_free_once_they_come_off(slow: Work, planned: Planned):
    first, second = slow.accepted(**SHORT), slow.accepted(**SHORT)
    clamps(slow, needed(first))
    slow.do(first, "survey")
    held = {str(Equipment.objects.get().id): needed(first)}
    slow.start(first, "glue-up", measured=good(first, "glue-up", "start"), clamps=held)
    slow.go(minutes=20)
    slow.finish(first, "glue-up", measured=good(first, "glue-up", "finish"))
    said = planned()
    assert at(said, second, "glue-up").begins >= at(said, first, "clamps-off").ends


def test_a_top_wider_than_every_clamp_is_named_and_the_rest_is_planned(slow: Work, planned: Planned):
    wide, narrow = slow.accepted(**SHORT | {"width": "44"}), slow.accepted(**SHORT)
    clamps(slow, 20, "36")
    said = planned()
    [missing] = said.not_planned
    assert (missing.piece, missing.stage) == (wide.number, "glue-up")
    assert "wider than every clamp" in missing.why
    assert {one.stage for one in said.work if one.piece == wide.number} == {"survey"}
    assert [one.commission for one in said.finishes if one.commission == narrow.commission.number]
    assert at(said, narrow, "wrap")


def test_without_working_hours_nothing_is_planned_and_it_is_said(slow: Work, planned: Planned):
    slow.accepted(**SHORT)
    set_working_hours(slow.call(), who=slow.by.id, week=[[]] * 7)
    said = planned()
    assert said.work == () and said.finishes == ()
    assert said.trouble.startswith("Nobody has working hours")


def test_a_stage_goes_to_whom_it_was_given_and_pinned(slow: Work, planned: Planned):
    piece, helper = slow.accepted(**SHORT), a_maker(name="Ben Aldersey")
    give_stage(slow.call(), piece=piece.number, stage="flatten", person=helper.id)
    pin_stage(slow.call(), piece=piece.number, stage="wrap", person=helper.id)
    said = planned()
    assert at(said, piece, "flatten").people == (helper.id,) == at(said, piece, "wrap").people
    assert at(said, piece, "wrap").pinned and not at(said, piece, "flatten").pinned
    pin_stage(slow.call(), piece=piece.number, stage="wrap", person=slow.by.id)
    assert at(planned(), piece, "wrap").people == (slow.by.id,)
    assert compare() == []


def test_a_pinned_day_is_kept_until_the_pin_is_taken_off(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    day = slow.now.date() + timedelta(days=8)
    pin_stage(slow.call(), piece=piece.number, stage="survey", day=day)
    assert local(at(planned(), piece, "survey").begins).date() == day
    unpin_stage(slow.call(), piece=piece.number, stage="survey")
    with pytest.raises(AlreadyDone):
        unpin_stage(slow.call(), piece=piece.number, stage="survey")


def test_a_pin_that_nobody_can_keep_is_named_and_the_stage_planned_without(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    saturday = slow.now.date() + timedelta(days=5)
    assert saturday.weekday() == 5
    pin_stage(slow.call(), piece=piece.number, stage="survey", day=saturday)
    said = planned()
    assert [(one.stage, "pin" in one.why) for one in said.not_planned] == [("survey", True)]
    assert at(said, piece, "survey")


def test_two_pins_that_exclude_each_other_leave_a_plan_without_them(slow: Work, planned: Planned):
    day = slow.now.date() + timedelta(days=1)
    pieces = [slow.accepted(**SHORT) for _ in range(5)]
    for piece in pieces:
        pin_stage(slow.call(), piece=piece.number, stage="survey", day=day)
    said = planned()
    assert len([one for one in said.work if one.stage == "survey"]) == 5
    assert any("pinned" in one.why for one in said.not_planned)


def test_what_is_pinned_first_comes_before_what_is_due_sooner(slow: Work, planned: Planned):
    first, second = slow.accepted(**SHORT), slow.accepted(**SHORT)
    promise(slow, first, slow.now.date() + timedelta(days=12))
    said = planned()
    assert at(said, first, "survey").begins < at(said, second, "survey").begins
    pin_stage(slow.call(), piece=second.number, stage="survey", first=True)
    said = planned(seconds=0.1)
    assert at(said, second, "survey").begins < at(said, first, "survey").begins


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({}, "day"),
        ({"day": date(2020, 1, 1)}, "day"),
        ({"person": "nobody"}, "person"),
        ({"stage": "full-cure", "first": True}, "stage"),
    ],
)
def test_a_pin_that_says_nothing_possible_is_refused(slow: Work, asked: dict, field: str):
    piece = slow.accepted(**SHORT)
    with pytest.raises((Invalid, WrongState)) as refused:
        pin_stage(slow.call(), **{"piece": piece.number, "stage": "flatten", **asked})
    assert refused.value.field == field


def test_dates_outside_take_the_people_who_go(slow: Work, planned: Planned):
    piece, day = slow.accepted(**SHORT), slow.now.date() + timedelta(days=1)
    set_appointment(slow.call(), kind="other", day=slow.now.date())
    set_appointment(slow.call(), kind="wood", day=day, at="08:00", minutes=240)
    said = planned()
    assert at(said, piece, "survey").begins >= timezone.make_aware(datetime.combine(day, time(13)))


def test_a_delivery_stands_on_its_agreed_date_and_ready_before_it_is_due(slow: Work, planned: Planned):
    piece, day = slow.accepted(**SHORT), slow.now.date() + timedelta(days=30)
    set_appointment(slow.call(), kind="delivery", day=day, at="10:00", commission=piece.commission.number)
    said = planned()
    delivery = at(said, piece, "deliver")
    assert local(delivery.begins) == timezone.make_aware(datetime.combine(day, time(10)))
    assert delivery.pinned and at(said, piece, "wrap").ends <= delivery.begins


def test_a_client_who_cannot_receive_gets_it_on_another_day(slow: Work, planned: Planned):
    piece, promised = slow.accepted(**SHORT), slow.now.date() + timedelta(days=30)
    promise(slow, piece, promised)
    assert local(at(planned(), piece, "deliver").begins).date() == promised
    set_blackout(
        slow.call(), commission=piece.commission.number, first=promised, last=promised + timedelta(2)
    )
    day = local(at(planned(), piece, "deliver").begins).date()
    assert day < promised or day > promised + timedelta(2)


def test_a_promise_in_the_past_is_planned_first_and_shown_late(slow: Work, planned: Planned):
    later, late = slow.accepted(**SHORT), slow.accepted(**SHORT)
    promise(slow, later, slow.now.date() + timedelta(days=40))
    promise(slow, late, slow.now.date() + timedelta(days=1))
    slow.go(days=3)
    said = planned()
    assert at(said, late, "survey").begins < at(said, later, "survey").begins
    [finish] = [one for one in said.finishes if one.commission == late.commission.number]
    assert finish.promised < finish.ready_on


def test_a_quoted_order_takes_no_time_from_an_accepted_one(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    before = {one.stage: one.begins for one in planned().work}
    commission = a_commission(slow.call(), a_client(slow.call()))
    maybe = a_piece(slow.call(), commission, **SHORT)
    quoted(slow.call(), commission=commission.number)
    said = planned()
    assert {one.stage: one.begins for one in said.work if one.piece == piece.number} == before
    assert all(one.maybe for one in said.work if one.piece == maybe.number)
    assert at(said, maybe, "survey").begins >= slow.now + timedelta(days=1)
    assert {one.commission: one.maybe for one in said.finishes} == {
        piece.commission.number: False, commission.number: True,
    }  # fmt: skip


@command
def quoted(tx: CommandTransaction, *, commission: str) -> None:
    move(tx, Commission.objects.get(number=commission), Commission.Step.QUOTED)


def test_a_running_wait_holds_its_stage_until_its_cautious_end(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    slow.do_until(piece, "glue-up")
    said = planned()
    held = {one.kind: one for one in said.waits if one.begins <= slow.now}
    assert held["scrape"].ends <= at(said, piece, "scrape").begins <= held["scrape"].closes
    assert at(said, piece, "clamps-off").begins >= held["unclamp"].ends
    assert held["unclamp"].place == "clamps"


def test_no_glue_up_whose_squeeze_out_falls_after_closing(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    slow.do(piece, "survey")
    slow.now = slow.now.replace(hour=16, minute=50)
    assert local(at(planned(), piece, "glue-up").begins).date() > slow.now.date()
    pin_stage(slow.call(), piece=piece.number, stage="glue-up", day=slow.now.date())
    said = planned()
    assert local(at(said, piece, "glue-up").begins).date() > slow.now.date() and said.not_planned
    set_working_hours(slow.call(), who=slow.by.id, back_until="22:00")
    said = planned(seconds=0.1)
    assert local(at(said, piece, "glue-up").begins).date() == slow.now.date()
    assert local(at(said, piece, "scrape").begins).time() > time(17, 15)
    assert at(said, piece, "scrape").people == (slow.by.id,)


def test_who_leaves_work_to_others_is_not_planned_for_it(slow: Work, planned: Planned):
    piece, helper = slow.accepted(**SHORT), a_maker(name="Ben Aldersey")
    set_working_hours(slow.call(), who=slow.by.id, limits={"clamps": "no"})
    set_working_hours(slow.call(), who=helper.id, limits={"bench": "no"})
    said = planned()
    assert at(said, piece, "glue-up").people == (helper.id,)
    assert at(said, piece, "survey").people == (slow.by.id,)
    set_working_hours(slow.call(), who=helper.id, limits={"clamps": "not alone"})
    set_working_hours(slow.call(), who=slow.by.id)
    give_stage(slow.call(), piece=piece.number, stage="glue-up", person=helper.id)
    assert set(at(planned(), piece, "glue-up").people) == {helper.id, slow.by.id}


def test_a_stage_that_nobody_may_do_is_named(slow: Work, planned: Planned):
    slow.accepted(**SHORT)
    set_working_hours(slow.call(), who=slow.by.id, limits={"clamps": "no"})
    assert ["nobody here may do it" in one.why for one in planned().not_planned] == [True]


def test_a_long_stage_is_split_and_one_that_cannot_be_is_named(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    done = [a_piece(slow.call(), a_commission(slow.call(), a_client(slow.call())), **SHORT) for _ in range(3)]
    usually(done, "flatten", 600)
    said = planned()
    parts = [one for one in said.work if one.stage == "flatten"]
    assert len(parts) > 1 and [one.part for one in parts] == list(range(1, len(parts) + 1))
    assert {one.parts for one in parts} == {len(parts)}
    usually(done, "glue-up", 300)
    said = planned()
    assert [(one.stage, "without a break" in one.why) for one in said.not_planned] == [("glue-up", True)]
    assert piece.number == said.not_planned[0].piece


def usually(done: list[Piece], key: str, minutes: int) -> None:
    """Let the log hold that this stage of these pieces took so long."""
    Stage.objects.filter(piece__in=done, key=key).update(step=Stage.Step.DONE, minutes=minutes)


def test_days_off_are_left_out(slow: Work, planned: Planned):
    piece = slow.accepted(**SHORT)
    first = slow.now.date()
    set_day_off(slow.call(), first=first, last=first + timedelta(days=9), reason="Holiday")
    assert local(at(planned(), piece, "survey").begins).date() == first + timedelta(days=10)
