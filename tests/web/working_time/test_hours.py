"""The page of working hours, and how firm the date of a commission is."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.settings import settings
from jobs.domain.working_time.abilities import limits_of
from jobs.models import Appointment, Blackout, Commission, DayOff, Person, Piece, WorkingHours
from tests.web.pages import Pages

PAGE = "/plan/hours/"
LATER = timezone.localdate() + timedelta(days=9)


def of(person: Person) -> str:
    return f"{PAGE}people/{person.id}/"


def same(pages: Pages, person: Person, typed: dict[str, str]) -> None:
    """Press the button that gives every weekday the hours of Monday."""
    pages.post(of(person), {**pages.get(of(person)).form(of(person)).typed, **typed, "do": "same"})


def test_without_any_visit_everybody_has_the_usual_hours(pages: Pages, owner: Person):
    words = pages.get(PAGE).words
    assert "42.5 h a week" in words and "Mon to Fri 8:00–12:00, 13:00–17:30" in words
    assert PAGE in pages.get("/plan/").text and PAGE in pages.get("/office/").text


def test_hours_are_typed_as_people_say_them(pages: Pages, owner: Person):
    typed = {
        "d0a": "7",
        "d0b": "11:30",
        "d0c": "1230",
        "d0d": "16.45",
        "d4c": "",
        "d4d": "",
        "d5e": "9",
        "d5f": "13",
    }
    pages.send(of(owner), {**typed, "back_until": "21", "w2": "not alone"})
    row = WorkingHours.objects.get()
    assert row.week[0] == [["07:00", "11:30"], ["12:30", "16:45"]] and row.week[4] == [["08:00", "12:00"]]
    assert row.unwanted[5] == [["09:00", "13:00"]] and row.back_until == "21:00"
    assert limits_of([owner.id]) == {owner.id: {"clamps": "not alone"}}
    words = pages.get(PAGE).words
    assert "Fri 8:00–12:00" in words and "If need be Sat 9:00–13:00" in words and "until 21:00" in words


def test_monday_serves_every_weekday_and_the_usual_hours_go_on_following_the_shop(
    pages: Pages, owner: Person
):
    same(pages, owner, {"d0a": "9", "d0c": "", "d0d": ""})
    assert WorkingHours.objects.get().week == [[["09:00", "12:00"]]] * 5 + [[], []]
    same(pages, owner, {"d0a": "8", "d0c": "13", "d0d": "17:30"})
    assert WorkingHours.objects.get().week is None


@pytest.mark.parametrize(
    "typed, field, says",
    [
        ({"d2c": "11"}, "d2a", "8:00 to 12:00 and 11:00 to 17:30 overlap"),
        ({"d2b": "7"}, "d2a", "ends before it begins"),
        ({"d2a": "early"}, "d2a", "Not a time of day"),
        ({"d2a": "25"}, "d2a", "Allowed: 00:00 to 24:00"),
        ({"d2a": ""}, "d2a", "Enter both times"),
        ({"d6e": "18"}, "d6f", "Enter both times"),
        ({"d1e": "16", "d1f": "20"}, "d1e", "overlap"),
        ({"back_until": "12"}, "back_until", "before they have left"),
    ],
)
def test_what_cannot_be_is_shown_beside_its_day_and_stays_typed(
    pages: Pages, owner: Person, typed: dict[str, str], field: str, says: str
):
    page = pages.send(of(owner), typed, status=422)
    assert says in page.words and not WorkingHours.objects.exists()
    assert {name: page.form(of(owner)).typed[name] for name in typed} == typed
    assert 'class="wrong"' in page.text or page.errors[field]


def test_nobody_with_hours_is_named(pages: Pages, owner: Person):
    empty = {f"d{n}{name}": "" for n in range(7) for name in "abcd"}
    pages.send(of(owner), empty)
    assert "Nobody has hours" in pages.get(PAGE).words


def test_holidays_and_days_off_come_and_go(pages: Pages, owner: Person):
    day = LATER.isoformat()
    pages.send(PAGE, {"first": day, "reason": "Fair"}, to="/holidays/")
    pages.send(PAGE, {"first": day, "begins": "13", "reason": "Dentist"}, to="/days-off/")
    words = pages.get(PAGE).words
    assert "Fair" in words and "from 13:00" in words and "Dentist" in words
    for one in DayOff.objects.all():
        pages.send(PAGE, {}, to=f"/{one.id}/remove/")
    assert "Nobody is away." in pages.get(PAGE).words
    page = pages.send(PAGE, {"reason": "No day"}, to="/holidays/", status=422)
    assert "Enter the day." in page.words and not DayOff.objects.filter(is_cancelled=False).exists()


def test_a_maker_sets_their_own_days_off_alone(maker_pages: Pages, maker: Person):
    page = maker_pages.get(PAGE)
    assert "Add a holiday" not in page.words and "Firm dates" not in page.words
    maker_pages.send(PAGE, {"first": LATER.isoformat(), "who": maker.id}, to="/days-off/")
    assert DayOff.objects.get().person == maker.id
    refused = maker_pages.send(PAGE, {"first": LATER.isoformat(), "who": ""}, to="/days-off/", status=403)
    assert "the owner's" in refused.words


def test_a_firm_date_and_the_clients_days_stand_on_both_pages(pages: Pages, piece: Piece):
    number = piece.commission.number
    at = f"/commissions/{number}/firmness/"
    assert at in pages.get(f"/commissions/{number}/").text
    pages.send(at, {"firmness": "must"})
    pages.send(at, {"first": LATER.isoformat(), "reason": "Away"}, to="/days/")
    again = {"commission": number, "first": (LATER + timedelta(days=3)).isoformat()}
    pages.send(PAGE, again, to="/clients/")
    assert Commission.objects.get(number=number).promise_weight == 4
    words = pages.get(PAGE).words
    assert "must" in words and "Away" in words and Blackout.objects.count() == 2
    pages.send(at, {}, to=f"/days/{Blackout.objects.first().id}/")
    assert "Away" not in pages.get(at).words
    page = pages.send(at, {"last": "2020-01-01", "first": LATER.isoformat()}, to="/days/", status=422)
    assert "the last day is before the first" in page.words.lower()


def test_a_delivery_on_a_day_of_the_client_is_asked_about_and_taken_when_it_is_meant(
    pages: Pages, piece: Piece
):
    number, day = piece.commission.number, LATER.isoformat()
    pages.send(f"/commissions/{number}/firmness/", {"first": day}, to="/days/")
    at = f"/commissions/{number}/delivery/"
    page = pages.send(at, {"day": day}, status=409)
    assert "The client takes no delivery" in page.words and not Appointment.objects.exists()
    pages.send_form(at, page.form(), {"anyway": "on"})
    assert Appointment.objects.get().day == LATER


def test_time_for_other_things_is_a_setting_of_the_shop(pages: Pages, owner: Person):
    pages.send(PAGE, {"interruptions_pct": "25"}, to="/other/")
    assert settings()["interruptions_pct"] == "25"
    page = pages.send(PAGE, {"interruptions_pct": "95"}, to="/other/", status=422)
    assert "0 to 80" in page.words and settings()["interruptions_pct"] == "25"
