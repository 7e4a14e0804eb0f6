"""The demo shop shows wait estimates at work, at whatever hour it is loaded."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.domain.overviews.climate import waits_in_the_air
from jobs.log.rebuild import compare
from jobs.management.demo import load_story, play
from jobs.models import Reading, Wait
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
