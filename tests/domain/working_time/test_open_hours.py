"""Open hours: the usual week, hours of one's own, days off, holidays, the clock that changes."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from jobs.domain.working_time.clocks import clock_of, without
from jobs.domain.working_time.commands import cancel_day_off, set_day_off, set_working_hours
from jobs.domain.working_time.open_hours import Spans, idle_people, interruption_share, open_spans, person_ids
from jobs.domain.workshop.commands import set_shop
from jobs.models import DayOff, Person
from tests.shop_fixtures import Work, an_owner

MONDAY, SUNDAY = date(2026, 3, 2), date(2026, 3, 8)
NOBODY = [[], [], [], [], [], [], []]
NIGHTS = [[["01:00", "05:00"]]] * 7


def hours(spans: Spans) -> list[str]:
    """Return usual spans as a person of the shop reads them: "Mon 08:00-12:00"."""
    return [shown(span) for span in spans.usual]


def shown(span: tuple[datetime, datetime]) -> str:
    begins, ends = map(timezone.localtime, span)
    return f"{begins:%a %H:%M}-{clock_of(24 * 60) if ends.date() > begins.date() else f'{ends:%H:%M}'}"


def length(spans: Spans) -> timedelta:
    return sum((b - a for a, b in spans.usual), timedelta())


def test_without_any_setting_everybody_works_monday_to_friday_with_an_hour_at_noon(work: Work):
    found = open_spans([work.by.id], MONDAY, SUNDAY)[work.by.id]
    assert hours(found)[:3] == ["Mon 08:00-12:00", "Mon 13:00-17:30", "Tue 08:00-12:00"]
    assert length(found) == timedelta(hours=5 * 8.5) and (found.unwanted, found.back) == ([], [])
    assert all(moment.utcoffset() == timedelta() for span in found.usual for moment in span)
    assert interruption_share() * 100 == 15


def test_the_usual_week_follows_the_shops_day(work: Work):
    set_shop(work.call(), settings={"morning": "13:00", "closing_time": "18:00"})
    assert hours(open_spans([work.by.id], MONDAY, MONDAY)[work.by.id]) == ["Mon 13:00-18:00"]


def test_hours_of_ones_own_evenings_and_coming_back(work: Work):
    week = [[["08:00", "12:00"], ["13:00", "17:00"]]] * 4 + [[["08:00", "12:00"]], [], []]
    extra = [[["17:30", "20:00"]], [], [], [], [], [["09:00", "24:00"]], []]
    set_working_hours(work.call(), who=work.by.id, week=week, unwanted=extra, back_until="21:00")
    found = open_spans([work.by.id], MONDAY, SUNDAY)[work.by.id]
    assert hours(found)[-1] == "Fri 08:00-12:00" and length(found) == timedelta(hours=36)
    assert [shown(span) for span in found.unwanted] == ["Mon 17:30-20:00", "Sat 09:00-24:00"]
    assert [shown(span) for span in found.back][:2] == ["Mon 20:00-21:00", "Tue 17:00-21:00"]
    assert len(found.back) == 5, "nobody comes back on a day without work"


def test_days_off_halves_of_days_and_holidays_are_taken_out(work: Work, maker: Person):
    set_day_off(work.call(), who=maker.id, first=MONDAY, last=MONDAY + timedelta(days=1))
    set_day_off(work.call(), who=maker.id, first=date(2026, 3, 4), begins="11:00", ends="14:00")
    set_day_off(work.call(), first=date(2026, 3, 5), reason="Fair")
    found = open_spans([work.by.id, maker.id], MONDAY, SUNDAY)
    assert hours(found[maker.id]) == [
        "Wed 08:00-11:00", "Wed 14:00-17:30", "Fri 08:00-12:00", "Fri 13:00-17:30",
    ]  # fmt: skip
    assert len(hours(found[work.by.id])) == 8, "all but the holiday"
    cancel_day_off(work.call(), day_off=DayOff.objects.get(person="").id)
    assert len(hours(open_spans([work.by.id], MONDAY, SUNDAY)[work.by.id])) == 10


def test_someone_without_hours_is_named_and_someone_who_left_has_none(work: Work, maker: Person):
    set_working_hours(work.call(), who=maker.id, week=NOBODY)
    assert idle_people() == [maker.id] and set(person_ids()) == {work.by.id, maker.id}
    assert open_spans([maker.id], MONDAY, SUNDAY)[maker.id].usual == []
    Person.objects.filter(id=maker.id).update(is_active=False)
    assert idle_people() == [] and person_ids() == [work.by.id]
    found = open_spans([maker.id, "nobody"], MONDAY, SUNDAY)
    assert found == {maker.id: Spans(), "nobody": Spans()}


@pytest.mark.parametrize(
    "zone, change, first, long",
    [
        ("Europe/Berlin", date(2026, 3, 29), "2026-03-29T00:00", timedelta(hours=3)),
        ("Europe/Berlin", date(2026, 10, 25), "2026-10-24T23:00", timedelta(hours=5)),
        ("America/New_York", date(2026, 3, 8), "2026-03-08T06:00", timedelta(hours=3)),
        ("America/New_York", date(2026, 11, 1), "2026-11-01T05:00", timedelta(hours=5)),
    ],
)
def test_a_night_of_work_is_shorter_in_spring_and_longer_in_autumn(
    work: Work, zone: str, change: date, first: str, long: timedelta
):
    """It changes at 01:00 UTC in the EU (Directive 2000/84/EC), at 02:00 local in the US (15 USC 260a)."""
    set_working_hours(work.call(), who=work.by.id, week=NIGHTS)
    with timezone.override(zone):
        before, after = change - timedelta(days=1), change + timedelta(days=1)
        found = open_spans([work.by.id], before, after)[work.by.id]
    assert found.usual[1][0] == datetime.fromisoformat(first).replace(tzinfo=UTC)
    assert [b - a for a, b in found.usual] == [timedelta(hours=4), long, timedelta(hours=4)]


def test_an_hour_that_the_clock_skips_is_no_time_and_nothing_overlaps(work: Work):
    week = [*[[]] * 6, [["02:00", "03:00"]]]
    set_working_hours(work.call(), who=work.by.id, week=week)
    change = date(2026, 3, 29)
    with timezone.override("Europe/Berlin"):
        assert open_spans([work.by.id], change, change)[work.by.id].usual == []
        set_working_hours(
            work.call(), who=work.by.id, week=[*[[]] * 6, [["01:00", "02:30"], ["03:00", "04:00"]]]
        )
        [one, two] = open_spans([work.by.id], change, change)[work.by.id].usual
        assert one[1] <= two[0] and two[1] == datetime(2026, 3, 29, 2, tzinfo=UTC)


def test_what_is_off_is_cut_out_of_a_span():
    assert without([(0, 10), (20, 30)], [(5, 22)]) == [(0, 5), (22, 30)]
    assert without([(0, 10)], [(3, 4), (6, 20)]) == [(0, 3), (4, 6)]
    assert without([(0, 10)], [(0, 10)]) == []


def test_half_a_year_of_ten_people_takes_five_queries(django_assert_max_num_queries: object, work: Work):
    people = [work.by.id, *(an_owner(f"p{n}").id for n in range(9))]
    with django_assert_max_num_queries(5):  # type: ignore[operator]
        found = open_spans(people, MONDAY, MONDAY + timedelta(weeks=26))
    assert len(found) == 10
