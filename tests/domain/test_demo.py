"""The demo shop shows wait estimates at work, at whatever hour it is loaded."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import LazySettings
from django.utils import timezone

from jobs.domain.overviews.bench import bench
from jobs.domain.overviews.climate import waits_in_the_air
from jobs.log.rebuild import compare
from jobs.management.demo import load_story, play
from jobs.management.demo_past import past_orders
from jobs.models import Commission, Reading, Stage, Wait
from jobs.worker.outbox import dispatch_outbox
from tests.shop_fixtures import an_owner

pytestmark = pytest.mark.takes(10)

MONDAY = datetime(2026, 11, 30, tzinfo=UTC)


@pytest.mark.django_db
@pytest.mark.parametrize("hours", [17, 6 * 24 + 4])  # on a working day, in the night of a Sunday
def test_a_top_in_clamps_rests_on_two_weeks_of_set_back_nights(hours: int):
    now, owner = MONDAY + timedelta(hours=hours), an_owner()
    play(load_story(), now=now, people={"owner": str(owner.id), "sam": str(owner.id)})
    while dispatch_outbox(now):
        pass
    readings = Reading.objects.order_by("at")
    assert readings.last().at == now and now - readings.first().at == timedelta(days=14)
    temps = [float(r.temp_c) for r in readings]
    assert 13 < min(temps) < 15.5 and 18.5 < max(temps) < 21
    clamped = Wait.objects.select_related("estimate").get(kind="unclamp", step=Wait.Step.RUNNING)
    said = clamped.estimate
    assert timedelta(hours=1) < now - clamped.since < timedelta(hours=2)
    assert said.known_until > now - timedelta(minutes=1) and not said.suspect
    assert now < said.earliest_at <= said.likely_at < said.ready_at
    assert clamped.id in [w["id"] for w in waits_in_the_air(now=now)["shop"]]
    assert compare() == []


MOMENTS = {
    "a Sunday night": datetime(2027, 1, 3, 4, 30, tzinfo=UTC),
}
FURTHER = {
    "the day clocks went back": datetime(2026, 11, 1, 20, tzinfo=UTC),
    "a Monday at 8": datetime(2026, 11, 30, 13, tzinfo=UTC),
    "29 February": datetime(2028, 2, 29, 15, tzinfo=UTC),
    "the day after clocks went on": datetime(2027, 3, 15, 12, tzinfo=UTC),
}
"""For the long tests."""


@pytest.mark.django_db
@pytest.mark.parametrize(
    "now",
    [
        *(pytest.param(at, id=name) for name, at in MOMENTS.items()),
        *(pytest.param(at, id=name, marks=pytest.mark.long) for name, at in FURTHER.items()),
    ],
)
def test_nothing_in_the_demo_is_overdue_by_accident(now: datetime, time_zone: None):
    owner = an_owner()
    play(load_story(), now=now, people={"owner": str(owner.id), "sam": str(owner.id)})
    while dispatch_outbox(now):
        pass
    seen = bench(now=now, person=str(owner.id))
    assert [
        job["title"] for job in seen["jobs"] if job["missed"] or job["why"] in ("suspect", "missed")
    ] == []
    assert [wait["wait"]["title"] for wait in seen["waiting"] if wait["wait"]["suspect"]] == []
    assert [told["title"] for told in seen["reminders"] if told["late"]] == []
    assert {commission.step for commission in Commission.objects.all()} == {
        "enquiry", "quoted", "in the shop", "delivered",
    }  # fmt: skip
    assert all(c.promise_on is None or c.promise_on > now.date() for c in Commission.objects.all())


@pytest.fixture
def time_zone(settings: LazySettings) -> Iterator[None]:
    settings.TIME_ZONE = "America/New_York"
    with timezone.override("America/New_York"):
        yield


@pytest.mark.django_db
def test_ten_orders_are_closed_behind_it_and_teach_the_rates():
    owner = an_owner()
    people = {"owner": str(owner.id), "sam": str(owner.id)}
    play(load_story(), now=MONDAY, people=people, past=past_orders()[-1:])
    assert len(past_orders()) == 10
    assert Commission.objects.filter(step="closed").count() == 1
    assert Stage.objects.exclude(minutes=None).count() > 25
