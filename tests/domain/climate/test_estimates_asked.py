"""A reading is stored at once; the worker is asked for the estimates that rest on it, once for a burst."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.climate.readings import ESTIMATE, take_readings, void_reading
from jobs.models import OutboxMessage, Reading, Wait, WaitEstimate
from jobs.worker import outbox
from tests.shop_fixtures import Work

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


def cold(work: Work, *, minute: int = 0, place: str = "shop") -> None:
    """Say that it was five degrees; the first reading comes at the moment the wait began."""
    at = work.now + timedelta(minutes=minute)
    entry = {"at": at, "temperature": "5", "humidity": "50", "place": place}
    assert take_readings([entry], source="sensor", temperature_unit="C", now=at).kept


@pytest.fixture
def wait(work: Work) -> Wait:
    """What holds the clamps, its glue slower in the cold."""
    work.do_until(work.accepted(glue="epoxy"), "glue-up")
    OutboxMessage.objects.all().delete()
    found = Wait.objects.get(kind="unclamp")
    assert found.step == Wait.Step.RUNNING
    return found


def ready(wait: Wait) -> Any:
    return WaitEstimate.objects.get(wait=wait).ready_at


def test_a_reading_takes_no_lock_of_the_log_and_the_worker_estimates(work: Work, wait: Wait):
    before = ready(wait)
    with CaptureQueriesContext(connection) as queries:
        cold(work)
    assert not [q["sql"] for q in queries if "loghead" in q["sql"]]
    assert ready(wait) == before
    assert outbox.dispatch_outbox(work.now) == 1
    assert ready(wait) != before


def test_a_reading_that_is_taken_back_lets_the_worker_estimate_too(work: Work, wait: Wait):
    before = ready(wait)
    cold(work)
    assert outbox.dispatch_outbox(work.now) == 1 and ready(wait) != before
    void_reading(Reading.objects.get().id, by=work.by.id, now=work.now)
    assert outbox.dispatch_outbox(work.now) == 1 and ready(wait) == before


def test_a_burst_asks_once_for_each_place(work: Work, wait: Wait):
    for minute in range(10):
        cold(work, minute=minute)
        cold(work, minute=minute, place="wood store")
    asked = OutboxMessage.objects.filter(kind=ESTIMATE, done_at=None)
    assert sorted(asked.values_list("subject", flat=True)) == ["shop", "wood store"]


def test_a_reading_asks_again_while_the_worker_estimates(
    work: Work, wait: Wait, monkeypatch: pytest.MonkeyPatch
):
    cold(work)
    later = work.now + timedelta(minutes=1)
    monkeypatch.setitem(outbox.DO, ESTIMATE, lambda place, now: cold(work, minute=1))
    outbox.dispatch_outbox(work.now)
    assert OutboxMessage.objects.filter(kind=ESTIMATE, done_at=None, next_at__lte=later).exists()
    monkeypatch.undo()
    assert outbox.dispatch_outbox(later) == 1
    assert not OutboxMessage.objects.filter(kind=ESTIMATE, done_at=None).exists()
