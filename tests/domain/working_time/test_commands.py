"""Hours, days off, a client's days, how firm a promise is: what is refused, and by whom it may be set."""

from datetime import date, timedelta
from typing import Any

import pytest

from jobs.core.errors import AlreadyDone, Forbidden, Invalid, NotFound, ShopError, Stale, WrongState
from jobs.domain.clients.erasure_commands import forget_client
from jobs.domain.working_time.abilities import limits_of
from jobs.domain.working_time.commands import cancel_day_off, set_day_off, set_working_hours
from jobs.domain.working_time.open_hours import blackouts, weights
from jobs.domain.working_time.promises import cancel_blackout, set_blackout, set_promise_weight
from jobs.models import Blackout, Commission, DayOff, Event, Person, PrivateText, WorkingHours
from tests.shop_fixtures import NOON, Work, a_call, a_client, a_commission

TODAY = NOON.date()
FREE: list[Any] = [[], [], [], [], [], [], []]


@pytest.fixture
def commission(work: Work) -> Commission:
    return a_commission(work.call(), a_client(work.call()))


def monday(*spans: tuple[str, str]) -> list[Any]:
    return [list(map(list, spans)), *FREE[1:]]


@pytest.mark.parametrize(
    "wrong, field, value",
    [
        (
            {"week": monday(("08:00", "12:00"), ("11:00", "17:00"))},
            "week[0]",
            "08:00 to 12:00 and 11:00 to 17:00",
        ),
        ({"week": monday(("12:00", "08:00"))}, "week[0]", "12:00-08:00"),
        ({"week": monday(("08:00", "08:00"))}, "week[0]", "08:00-08:00"),
        ({"week": monday(("24:00", "24:00"))}, "week[0]", "24:00-24:00"),
        ({"week": monday(("8", "12:00"))}, "week[0]", "8"),
        ({"week": monday(("08:00", "25:00"))}, "week[0]", "25:00"),
        ({"week": monday(*[("08:00", "09:00")] * 3)}, "week[0]", "3 spans"),
        ({"week": monday(("08:00",))}, "week[0]", "['08:00']"),  # type: ignore[arg-type]
        ({"week": FREE[1:]}, "week", "6 days"),
        (
            {"week": monday(("08:00", "17:00")), "unwanted": monday(("16:00", "20:00"))},
            "unwanted[0]",
            "08:00 to 17:00 and 16:00 to 20:00",
        ),
        ({"unwanted": monday(("12:00", "14:00"))}, "unwanted[0]", "12:00 to 14:00 and 13:00 to 17:30"),
        ({"back_until": "17:00"}, "back_until", "17:00"),
        ({"week": FREE, "back_until": "21:00"}, "back_until", "21:00"),
        ({"back_until": "late"}, "back_until", "late"),
        ({"limits": {"sawing": "no"}}, "sawing", "no"),
        ({"limits": {"clamps": "never"}}, "limits.clamps", "never"),
        ({"who": "nobody"}, "who", "nobody"),
    ],
)
def test_hours_that_cannot_be_worked_are_refused_by_name(
    work: Work, wrong: dict[str, Any], field: str, value: str
):
    with pytest.raises(Invalid) as refused:
        set_working_hours(work.call(), **{"who": work.by.id, **wrong})
    assert (refused.value.field, str(refused.value.value)) == (field, value) and refused.value.allowed
    assert not WorkingHours.objects.exists()


def test_hours_replace_what_stood_there_and_an_old_page_is_refused(work: Work):
    first = set_working_hours(work.call(), who=work.by.id, week=monday(("00:00", "24:00"))).events[0]
    set_working_hours(work.call(seen=first.seq), who=work.by.id, limits={"clamps": "not alone", "road": "no"})
    row = WorkingHours.objects.get()
    assert row.week is None and row.id == first.seq * 1000
    assert limits_of([work.by.id, "x"]) == {work.by.id: {"clamps": "not alone", "road": "no"}, "x": {}}
    with pytest.raises(Stale):
        set_working_hours(work.call(seen=first.seq), who=work.by.id)


@pytest.mark.parametrize(
    "wrong, field",
    [
        ({"last": TODAY - timedelta(days=1)}, "last"),
        ({"last": TODAY + timedelta(days=366)}, "last"),
        ({"first": TODAY + timedelta(days=4000)}, "first"),
        ({"first": TODAY - timedelta(days=400)}, "first"),
        ({"begins": "13:00", "last": TODAY + timedelta(days=1)}, "last"),
        ({"begins": "13:00", "ends": "12:00"}, "begins"),
        ({"begins": "24:00"}, "begins"),
        ({"ends": "noon"}, "ends"),
        ({"who": "nobody"}, "who"),
        ({"reason": "x" * 401}, "reason"),
    ],
)
def test_a_day_off_that_cannot_be_is_refused_by_name(work: Work, wrong: dict[str, Any], field: str):
    with pytest.raises(Invalid) as refused:
        set_day_off(work.call(), **{"first": TODAY, **wrong})
    assert refused.value.field == field and refused.value.allowed and not DayOff.objects.exists()


def test_a_maker_sets_their_own_days_off_and_nothing_else(work: Work, commission: Commission, maker: Person):
    owner, mine = work.by, a_call(maker)
    set_day_off(mine, who=maker.id, first=TODAY, reason="dentist")
    found = DayOff.objects.get()
    for act, asked in [
        (set_day_off, {"first": TODAY}),
        (set_day_off, {"first": TODAY, "who": owner.id}),
        (set_working_hours, {"who": maker.id}),
        (set_blackout, {"commission": commission.number, "first": TODAY}),
        (set_promise_weight, {"commission": commission.number, "firmness": "must"}),
    ]:
        with pytest.raises(Forbidden):
            act(mine, **asked)
    cancel_day_off(mine, day_off=found.id)
    with pytest.raises(AlreadyDone):
        cancel_day_off(mine, day_off=found.id)
    set_day_off(work.call(), who=owner.id, first=TODAY)
    with pytest.raises(Forbidden):
        cancel_day_off(mine, day_off=DayOff.objects.get(person=owner.id).id)
    with pytest.raises(NotFound):
        cancel_day_off(mine, day_off=1)


def test_the_same_day_off_is_not_set_twice(work: Work):
    set_day_off(work.call(), first=TODAY)
    with pytest.raises(AlreadyDone):
        set_day_off(work.call(), first=TODAY)
    set_day_off(work.call(), first=TODAY, begins="13:00")


def test_a_clients_days_and_the_weight_of_a_promise(work: Work, commission: Commission):
    number, later = commission.number, TODAY + timedelta(days=10)
    assert weights([number, "x"]) == {number: 1, "x": 1} and blackouts([number]) == {number: []}
    set_promise_weight(work.call(), commission=number, firmness="must")
    set_blackout(work.call(), commission=number, first=TODAY, last=later, reason="away")
    set_blackout(work.call(), commission=number, first=later)
    assert weights([number]) == {number: 4}
    assert blackouts([number]) == {number: [(TODAY, later), (later, later)]}
    cancel_blackout(work.call(), commission=number, blackout=Blackout.objects.order_by("id")[0].id)
    assert blackouts([number]) == {number: [(later, later)]}


@pytest.mark.parametrize(
    "asked, error, field",
    [
        ({"first": TODAY - timedelta(days=3)}, Invalid, "last"),
        ({"first": TODAY, "last": TODAY - timedelta(days=3)}, Invalid, "last"),
        ({"first": date(2036, 1, 1)}, Invalid, "first"),
    ],
)
def test_days_of_a_client_that_cannot_be_are_refused_by_name(
    work: Work, commission: Commission, asked: dict[str, Any], error: type[ShopError], field: str
):
    with pytest.raises(error) as refused:
        set_blackout(work.call(), commission=commission.number, **asked)
    assert refused.value.field == field and not Blackout.objects.exists()


def test_a_firmness_that_is_none_and_a_commission_that_ended(work: Work, commission: Commission):
    with pytest.raises(Invalid) as refused:
        set_promise_weight(work.call(), commission=commission.number, firmness="firm")
    assert (refused.value.value, refused.value.allowed) == ("firm", "usual, important, must")
    with pytest.raises(AlreadyDone):
        set_promise_weight(work.call(), commission=commission.number, firmness="usual")
    Commission.objects.filter(id=commission.id).update(step=Commission.Step.CANCELLED)
    with pytest.raises(WrongState):
        set_promise_weight(work.call(), commission=commission.number, firmness="must")
    with pytest.raises(WrongState):
        set_blackout(work.call(), commission=commission.number, first=TODAY)


def test_reasons_are_private_and_a_clients_go_with_the_client(work: Work, commission: Commission):
    set_day_off(work.call(), first=TODAY, reason="Fair in the town")
    set_blackout(work.call(), commission=commission.number, first=TODAY, reason="Away in the hills")
    for said in ("Fair in the town", "Away in the hills"):
        assert not any(said in event.body for event in Event.objects.all())
        assert PrivateText.objects.filter(text=said).exists()
    Commission.objects.filter(id=commission.id).update(step=Commission.Step.DECLINED)
    forget_client(work.call(), client=commission.client_id, confirm=commission.number)
    assert not PrivateText.objects.filter(text="Away in the hills").exists()
