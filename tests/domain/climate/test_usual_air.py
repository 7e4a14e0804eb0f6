"""The usual air of a place: what is expected of hours and days that nobody measures."""

from datetime import timedelta

import pytest

from jobs.models import AirMean, Reading, Wait
from tests.domain.climate.waits import HOUR, MINUTE, air, clamped, estimate, one_more
from tests.shop_fixtures import Work

pytestmark = [pytest.mark.django_db, pytest.mark.takes(5)]


def test_a_cold_night_that_is_expected_is_told_ahead(work):
    """Three days have a night set-back to 6 °C from 22:00 to 06:00 on the shop's clock (UTC here)."""
    wait = clamped(work)
    first = wait.since.replace(minute=0, second=0, microsecond=0) - timedelta(days=3)
    hours = int((wait.since - first) / HOUR) + 1
    temps = [6 if (first + n * HOUR).hour >= 22 or (first + n * HOUR).hour < 6 else 20 for n in range(hours)]
    air(work, first, temps)
    known = estimate(wait)
    assert known.cold_at is not None and known.cold_at > wait.since
    assert known.likely_at > wait.since + 18 * HOUR, "the night of eight hours hardly counts"


def habit(work: Work, wait: Wait, *, ago: timedelta, temp: int = 14) -> None:
    """Take five days of readings at one temperature, the last so long before the wait began."""
    air(work, wait.since - ago - timedelta(days=5), [temp] * 121)


def test_the_habit_of_a_place_holds_for_what_begins_hours_or_days_after_its_last_reading(work):
    wait = clamped(work)
    told = estimate(wait).likely_at
    habit(work, wait, ago=5 * HOUR)
    hours = estimate(wait)
    # 12 h at 20 °C; at 14 °C by 6000 K: exp(6000 x (1/287.15 - 1/293.15)) = 1.534.
    assert (hours.likely_at - wait.since) / HOUR == pytest.approx(12 * 1.534, abs=0.1)
    assert hours.likely_at > told and hours.reason == "by the usual air of shop"
    assert hours.known_until < wait.since and not hours.paused
    Reading.objects.all().delete()
    AirMean.objects.all().delete()
    habit(work, wait, ago=timedelta(days=5))
    days = estimate(wait)
    assert abs(days.likely_at - hours.likely_at) < 5 * MINUTE
    # A daily profile alone is no surer than a shop that nobody measures: 2 °C off.
    assert days.latest_at - days.likely_at > 12 * 0.15 * HOUR
    one_more(work, wait, 14)
    fresh = estimate(wait)
    assert abs(fresh.likely_at - days.likely_at) < 5 * MINUTE, "a reading that is as usual moves nothing"
    assert fresh.latest_at < days.latest_at


@pytest.mark.parametrize("minutes, usual", [(120, False), (135, True)])
def test_for_two_hours_the_last_reading_is_the_air_in_which_a_wait_begins(work, minutes, usual):
    wait = clamped(work)
    habit(work, wait, ago=minutes * MINUTE)
    assert estimate(wait).reason == ("by the usual air of shop" if usual else "")


def test_days_that_differ_leave_a_wider_range_than_days_alike(work):
    wait = clamped(work)

    def range_after(temps: list[int]) -> timedelta:
        Reading.objects.all().delete()
        AirMean.objects.all().delete()
        air(work, wait.since - timedelta(days=5), temps)
        known = estimate(wait)
        assert known.earliest_at < known.likely_at < known.latest_at
        return known.latest_at - known.earliest_at

    alike, differ = [18] * 121, [20 if n // 24 % 2 else 16 for n in range(120)] + [18]
    assert range_after(differ) > 1.5 * range_after(alike)


def test_after_the_weeks_of_the_habit_the_shops_own_figures_hold(work):
    wait = clamped(work)
    habit(work, wait, ago=timedelta(days=15))
    said = estimate(wait)
    assert said.likely_at == wait.since + 12 * HOUR and said.known_until is None and said.reason == ""


def test_a_cold_night_that_is_usual_is_told_ahead_days_after_the_last_reading(work):
    wait = clamped(work)
    habit(work, wait, ago=timedelta(days=5), temp=6)
    said = estimate(wait)
    assert said.cold_at == wait.since and not said.suspect
    assert not said.paused, "nobody has measured it"
    due = wait.reminders_due.filter(kind="too cold").values_list("due_at", flat=True)
    assert set(due) == {wait.since}
