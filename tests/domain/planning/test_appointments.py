"""Dates outside the shop, and who does what."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.core.errors import AlreadyDone, Invalid, Probably, WrongState
from jobs.domain.clients.commands import change_client
from jobs.domain.planning.appointments import (
    cancel_appointment,
    change_appointment,
    finish_appointment,
    set_appointment,
)
from jobs.domain.planning.assignments import give_stage
from jobs.domain.planning.queries import appointment_views, planned_between
from jobs.domain.reminders.feeds.calendar import refresh, shown_to
from jobs.domain.working_time.commands import set_day_off
from jobs.domain.working_time.promises import set_blackout
from jobs.models import Appointment, ClientUpdate, Commission, Event, Person, Piece, ReminderDue, Stage
from tests.shop_fixtures import NOON, Work, a_client, a_commission, a_piece

TODAY = NOON.date()


@pytest.fixture
def commission(work: Work) -> Commission:
    return a_commission(work.call(), a_client(work.call()))


@pytest.fixture
def piece(work: Work, commission: Commission) -> Piece:
    return a_piece(work.call(), commission)


def test_a_delivery_is_set_with_its_usual_length_and_the_client_told(work: Work, commission: Commission):
    change_client(work.call(), client=commission.client_id, email="client@example.org")
    set_appointment(
        work.call(), commission=commission.number, kind="delivery", day=TODAY + timedelta(days=3), at="10:00",
        place="4 Alder Lane", hands=2, tell_client=True,
    )  # fmt: skip
    found = appointment_views(Appointment.objects.select_related("commission__client"))[0]
    assert (found["minutes"], found["hands"], found["place"]) == (120, 2, "4 Alder Lane")
    assert timezone.localtime(found["starts_at"]).hour == 10 and found["is_told"]
    assert ClientUpdate.objects.count() == 1


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({"kind": "party"}, "kind"),
        ({"day": TODAY - timedelta(days=1)}, "day"),
        ({"day": TODAY + timedelta(days=4000)}, "day"),
        ({"at": "25:00"}, "at"),
        ({"at": "10:00", "minutes": 1}, "minutes"),
        ({"hands": 0}, "hands"),
        ({"people": ["nobody"]}, "people"),
        ({"kind": "wood", "tell_client": True}, "tell_client"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_kept(
    work: Work, commission: Commission, wrong: dict[str, object], field: str
):
    said = {"kind": "delivery", "day": TODAY + timedelta(days=1), **wrong}
    with pytest.raises(Invalid) as refused:
        set_appointment(work.call(), commission=commission.number, **said)
    assert refused.value.field == field and not Appointment.objects.exists()


def test_a_moved_date_is_told_again_and_a_cancelled_one_too(work: Work, commission: Commission):
    day = TODAY + timedelta(days=3)
    set_appointment(work.call(), commission=commission.number, kind="delivery", day=day, tell_client=True)
    key = Appointment.objects.get().id
    same = {"kind": "delivery", "day": day, "tell_client": True}
    change_appointment(work.call(), appointment=key, **same, note="Bring blankets")
    assert ClientUpdate.objects.count() == 1, "the same day is not told twice"
    change_appointment(work.call(), appointment=key, **{**same, "day": day + timedelta(days=1)})
    assert ClientUpdate.objects.count() == 2
    cancel_appointment(work.call(), appointment=key, reason="van broken")
    assert ClientUpdate.objects.count() == 3
    with pytest.raises(AlreadyDone):
        finish_appointment(work.call(), appointment=key)


def test_a_date_of_the_shop_alone_is_kept_and_leaves_the_plan(work: Work):
    set_appointment(work.call(), kind="wood", day=TODAY, place="the yard")
    assert len(planned_between(TODAY, TODAY)) == 1
    finish_appointment(work.call(), appointment=Appointment.objects.get().id)
    assert planned_between(TODAY, TODAY) == []


def test_a_reminder_comes_the_morning_before_and_goes_with_the_date(work: Work, commission: Commission):
    set_appointment(
        work.call(), commission=commission.number, kind="delivery", day=TODAY + timedelta(days=3), at="10:00"
    )
    due = ReminderDue.objects.filter(kind="date ahead")
    assert {timezone.localtime(one.due_at).date() for one in due} == {TODAY + timedelta(days=2)}
    cancel_appointment(work.call(), appointment=Appointment.objects.get().id)
    assert not ReminderDue.objects.filter(kind="date ahead").exists()


def test_the_feed_shows_it_with_its_place(work: Work, commission: Commission):
    set_appointment(
        work.call(), commission=commission.number, kind="delivery", day=TODAY + timedelta(days=3), at="10:00",
        place="4 Alder Lane",
    )  # fmt: skip
    refresh(NOON)
    said = [words for entry, words in shown_to(owner=True, now=NOON) if entry.about.startswith("appointment")]
    assert len(said) == 1 and "delivery" in said[0].summary and "4 Alder Lane" in said[0].description


def test_a_stage_is_given_taken_back_and_not_given_when_done(work: Work, piece: Piece, maker: Person):
    give_stage(work.call(), piece=piece.number, stage="glue-up", person=maker.id)
    assert Stage.objects.get(piece=piece, key="glue-up").given_to == maker.id
    with pytest.raises(AlreadyDone):
        give_stage(work.call(), piece=piece.number, stage="glue-up", person=maker.id)
    give_stage(work.call(), piece=piece.number, stage="glue-up")
    assert Stage.objects.get(piece=piece, key="glue-up").given_to == ""
    with pytest.raises(Invalid):
        give_stage(work.call(), piece=piece.number, stage="glue-up", person="nobody")
    Stage.objects.filter(piece=piece, key="survey").update(step=Stage.Step.DONE)
    with pytest.raises(WrongState):
        give_stage(work.call(), piece=piece.number, stage="survey", person=maker.id)
    assert Event.objects.filter(kind="stage_given").count() == 2


def test_a_closed_day_is_asked_about_before_a_date_is_taken(work: Work, commission: Commission):
    holiday, away = TODAY + timedelta(days=3), TODAY + timedelta(days=5)
    set_day_off(work.call(), first=holiday, reason="Fair")
    set_blackout(work.call(), commission=commission.number, first=away)
    at = {"commission": commission.number, "kind": "delivery"}
    for day, says in (
        (holiday, "the shop is closed on Thursday 5 March: Fair"),
        (away, "the client takes no"),
    ):
        with pytest.raises(Probably) as refused:
            set_appointment(work.call(), day=day, **at)
        assert refused.value.field == "anyway" and str(refused.value).startswith(says)
    assert not Appointment.objects.exists()
    set_appointment(work.call(), day=away, anyway=True, **at)
    set_appointment(work.call(), day=holiday, kind="wood")
    key, said = Appointment.objects.get(kind="delivery").id, {"kind": "delivery", "note": "Two blankets"}
    change_appointment(work.call(), appointment=key, day=away, **said)
    with pytest.raises(Probably):
        change_appointment(work.call(), appointment=key, day=holiday, **said)
    assert Appointment.objects.get(id=key).day == away
