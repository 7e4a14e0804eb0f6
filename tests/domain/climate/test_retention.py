"""Old readings are downsampled, and no time shown or calculated changes by it."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from jobs.domain.climate import air_history
from jobs.domain.climate.readings import take_readings, void_reading
from jobs.domain.climate.retention import downsample, thinned_until
from jobs.log.rebuild import rebuild
from jobs.models import AirMean, Reading, Wait
from jobs.worker import tasks
from tests.shop_fixtures import NOON, QUICK, Work, an_owner, quick_sheets

pytestmark = pytest.mark.django_db
OLD = NOON - timedelta(days=70)
MINUTE = timedelta(minutes=1)


def readings(since=OLD, *, source: str = "sensor-1", place: str = "shop", count: int = 36) -> None:
    """Take a reading every five minutes."""
    entries = [{"at": since + n * 5 * MINUTE, "temperature": 10 + n, "place": place} for n in range(count)]
    taken = take_readings(entries, source=source, temperature_unit="C", now=NOON)
    assert len(taken.kept) == count


def all_means() -> list[object]:
    return list(AirMean.objects.order_by("place", "step").values_list("place", "step", "temp_c", "rh_pct"))


def test_one_an_hour_of_each_place_and_source_stays_and_the_means_do_not_change():
    readings()
    readings(source="sensor-2")
    readings(place="wood store")
    readings(since=NOON - timedelta(hours=4))
    before = all_means()
    assert downsample(now=NOON, only_count=True) == 3 * 33 and Reading.objects.count() == 4 * 36
    assert downsample(now=NOON) == 3 * 33 and downsample(now=NOON) == 0
    assert Reading.objects.count() == 3 * 3 + 36
    assert {r.at.minute for r in Reading.objects.filter(at__lt=NOON - timedelta(days=1))} == {0}
    for again in (lambda: None, air_history.refill, rebuild):
        again()
        assert all_means() == before


def test_a_late_reading_of_thinned_times_leaves_their_means():
    readings()
    downsample(now=NOON)
    before = all_means()
    late = [{"at": OLD + 7 * MINUTE, "temperature": 50}, {"at": OLD - timedelta(days=1), "temperature": 5}]
    take_readings(late, source="sensor-9", temperature_unit="C", now=NOON)
    assert [m for m in all_means() if m[1] >= air_history.step_of(OLD)] == before
    assert len(all_means()) == len(before) + 1


def test_voided_readings_stay():
    readings()
    void_reading(Reading.objects.earliest("at").id, by="person-1", now=NOON)
    downsample(now=NOON)
    assert Reading.objects.filter(voided_at=None).count() == 3
    assert Reading.objects.exclude(voided_at=None).count() == 1


def test_nothing_goes_that_a_running_wait_may_rest_on():
    work = Work(an_owner(), now=OLD - timedelta(days=1))
    quick_sheets(work.call())
    work.do_until(work.accepted(**QUICK), "stock")  # the stock settles, and nobody works on
    begun = Wait.objects.get(step=Wait.Step.RUNNING).since
    readings()
    assert thinned_until(NOON) <= begun and downsample(now=NOON) == 0
    assert Reading.objects.count() == 36


def test_the_command_says_what_it_would_do_and_the_task_does_it():
    readings(since=OLD)
    said = StringIO()
    call_command("thin_readings", dry_run=True, stdout=said)
    assert "33 readings before" in said.getvalue() and "would go" in said.getvalue()
    assert Reading.objects.count() == 36
    tasks.thin_readings()
    tasks.thin_readings()
    assert Reading.objects.count() == 3
