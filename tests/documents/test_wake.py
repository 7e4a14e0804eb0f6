"""Issuing a paper wakes the worker after the commit; without a broker it is issued all the same."""

import json
import time
from pathlib import Path

import pytest
import redis
from celery import Celery
from django.conf import settings
from django.db import transaction

from jobs.core import broker
from jobs.models import OutboxMessage
from tests.documents.shop import a_shop, issued_invoice, priced
from tests.needs import needs

pytestmark = pytest.mark.django_db(transaction=True)


def test_without_a_broker_the_paper_is_issued_at_once(
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    alone = Celery(broker=f"redis+socket://{tmp_path}/nobody.sock", set_as_current=False)
    alone.conf.broker_transport_options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    monkeypatch.setattr(broker, "current_app", alone)
    monkeypatch.setattr(broker, "_alone_until", 0.0)  # restored after the test
    work = a_shop()
    number = priced(work, work.accepted(), 1)
    before = time.monotonic()
    paper = issued_invoice(work, number)
    assert time.monotonic() - before < 5
    assert "the worker was not woken" in caplog.text
    assert OutboxMessage.objects.get().subject == paper.number


@needs("redis")
def test_the_wake_up_travels_once_it_is_committed(redis_url: str):
    queue = redis.from_url(settings.REDIS_URL)
    work = a_shop()
    number = priced(work, work.accepted(), 1)
    queue.delete("celery")
    with transaction.atomic():
        issued_invoice(work, number)
        assert queue.llen("celery") == 0
    asked = {json.loads(message)["headers"]["task"] for message in queue.lrange("celery", 0, -1)}
    assert asked == {"jobs.tasks.do_effects", "jobs.tasks.plan"}
    queue.delete("celery")
