"""The plan as pages: the week, four weeks, the sheets, one planned stage and its pin, and what follows it."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.domain.planning.publishing import current, publish
from jobs.domain.workshop.accounts import make_token
from jobs.models import Appointment, Commission, Person, Piece, PublishedPlan
from jobs.models.people import Scope
from jobs.web.planning.plan_words import quarter_hours
from tests.shop_fixtures import Work, a_commission, a_piece
from tests.web.pages import Pages


@pytest.fixture
def planned(pages: Pages, piece: Piece) -> Piece:
    """Return a piece of an accepted commission that the plan holds."""
    assert publish(timezone.now())
    return piece


def next_monday() -> date:
    today = timezone.localdate()
    return today + timedelta(days=7 - today.weekday())


def the_weeks(pages: Pages, address: str = "/plan/") -> str:
    """Return the words of this week and the next, one of which has work whatever day the test runs."""
    return "".join(pages.get(f"{address}?week={day}").words for day in (timezone.localdate(), next_monday()))


def test_without_a_plan_the_week_says_so_and_shows_dates(pages: Pages, piece: Piece):
    day = timezone.localdate()
    form = {"day": day.isoformat(), "at": "", "place": "4 Alder Lane"}
    pages.send(f"/plan/dates/new/?commission={piece.commission.number}&kind=delivery", form)
    words = pages.get("/plan/").words
    assert "There is no plan yet" in words and "Delivery" in words
    assert "4 Alder Lane" in pages.get(f"/plan/dates/{Appointment.objects.get().id}/").text
    assert "Delivery" in pages.get("/plan/dates/").words


def test_the_week_holds_the_planned_work_with_its_person_and_its_promise(pages: Pages, planned: Piece):
    plan = current()
    assert plan is not None and plan.work
    first = plan.work[0]
    page = pages.get(f"/plan/?week={timezone.localdate(first.begins)}")
    local = timezone.localtime(first.begins)
    assert f"{local.hour}:{local:%M}" in page.words
    assert f"/plan/work/{planned.number}/{first.stage}/" in page.text
    assert "Up to the promises" in page.words and "Hands free" in page.words
    assert "There is no plan yet" not in page.words
    assert planned.number[5:8] in the_weeks(pages, "/plan/print/")
    assert planned.number[5:8] in pages.get("/plan/month/").words


def test_a_week_that_is_no_day_is_named_and_this_week_is_shown(pages: Pages, db: None):
    for asked in ("soon", "1999-01-01", "2026-13-01"):
        for address in ("/plan/", "/plan/month/", "/plan/print/") if asked == "soon" else ("/plan/",):
            page = pages.get(f"{address}?week={asked}", status=422)
            assert "no week of the plan" in page.words and asked not in page.words, (address, asked)


def test_a_pin_holds_in_the_next_plan_and_comes_off(pages: Pages, planned: Piece, owner: Person):
    plan = current()
    assert plan is not None
    last = plan.work[-1]
    day = timezone.localdate(last.begins) + timedelta(days=7)
    day += timedelta(days=max(0, 7 - day.weekday()) if day.weekday() > 4 else 0)
    at = f"/plan/work/{planned.number}/{last.stage}/"
    assert "Pin it" in pages.get(at).words
    page = pages.send(at, {"day": day.isoformat(), "person": owner.id})
    assert page.status == 302
    publish(timezone.now() + timedelta(minutes=3))
    plan = current()
    assert plan is not None
    held = [one for one in plan.work if one.stage == last.stage]
    assert {timezone.localdate(one.begins) for one in held} == {day} and all(one.pinned for one in held)
    assert "pinned" in pages.get(f"/plan/?week={day}").text
    form = pages.get(at).form(to="/unpin/")
    assert pages.http.post(f"{at}unpin/", form.typed).status_code == 302
    assert "Take the pin off" not in pages.get(at).words


def test_a_pin_of_nothing_is_refused_and_names_what_may_be_pinned(pages: Pages, planned: Piece):
    plan = current()
    assert plan is not None
    page = pages.send(f"/plan/work/{planned.number}/{plan.work[0].stage}/", {}, status=422)
    assert "Nothing is pinned" in page.words and "a person" in page.words


def test_quoted_work_stands_as_maybe(pages: Pages, work: Work, planned: Piece):
    quoted = a_commission(work.call(), planned.commission.client, "Bench for the hall")
    a_piece(work.call(), quoted)
    Commission.objects.filter(id=quoted.id).update(step=Commission.Step.QUOTED)
    publish(timezone.now() + timedelta(minutes=3))
    plan = current()
    assert plan is not None
    maybe = next(one for one in plan.work if one.maybe)
    assert "aybe" in pages.get(f"/plan/?week={timezone.localdate(maybe.begins)}").words
    assert "client has not said yes" in pages.get(f"/plan/work/{maybe.piece}/{maybe.stage}/").words


def test_a_plan_that_was_not_replaced_says_so(pages: Pages, planned: Piece):
    PublishedPlan.objects.update(trouble="The plan is that of yesterday.")
    words = pages.get("/plan/").words
    assert "This plan is not the newest" in words and "that of yesterday" in words


def test_what_moved_since_yesterday_stands_on_top(pages: Pages, work: Work, piece: Piece, owner: Person):
    now = timezone.now()
    publish(now - timedelta(days=1))
    plan = current()
    assert plan is not None
    pages.send(
        f"/plan/work/{piece.number}/{plan.work[-1].stage}/",
        {"day": (now + timedelta(days=30)).date().isoformat(), "person": "", "first": ""},
    )
    publish(now)
    words = pages.get("/plan/").words
    assert "Moved since yesterday" in words and "later" in words


def test_the_bench_the_wall_and_the_day_follow_the_plan(pages: Pages, planned: Piece, owner: Person):
    plan = current()
    assert plan is not None
    first = plan.work[0]
    # the plan is laid from today on; on a day of rest its first work is that of the next day of work
    today = timezone.localtime(first.begins).date() == timezone.localdate()
    assert ("planned" in pages.get("/").text) == today
    token = make_token(owner, label="wall", now=timezone.now(), scope=Scope.WALL)[1]
    assert Pages().get(f"/wall/{token}/").status == 200
    words = pages.get("/day/").words
    assert ("Nothing needs hands today" in words) != today


def test_a_helper_does_not_see_what_is_the_owners_alone(
    maker_pages: Pages, pages: Pages, planned: Piece, maker: Person
):
    plan = current()
    assert plan is not None
    mine = [one for one in plan.work if planned.stages.get(key=one.stage).spec["owner_only"]]
    for one in mine:
        address = f"/plan/?week={timezone.localdate(one.begins)}"
        link = f"/plan/work/{one.piece}/{one.stage}/"
        assert link in pages.get(address).text and link not in maker_pages.get(address).text
    assert maker_pages.get("/plan/").status == 200


def test_hours_are_said_in_quarters():
    assert [quarter_hours(m) for m in (0, 15, 45, 60, 330, 7)] == ["0", "¼", "¾", "1", "5½", "0"]
