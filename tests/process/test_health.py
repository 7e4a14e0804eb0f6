"""The health page when a part of the real service is gone, and when it is back."""

import json
import os
import signal
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import psycopg
import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.utils import timezone

from jobs.documents.kit import press
from jobs.domain.clients.erasure_commands import REMOVE_FILE
from jobs.domain.overviews import service_health
from jobs.domain.reminders import delivery
from jobs.log import clock_mark, database_damage, leases
from jobs.log.outbox import CLAIM
from jobs.models import Heartbeat, OutboxMessage
from jobs.worker import outbox
from shop import beat
from shop.celery import app
from tests.launch.running import Running, eventually, running
from tests.needs import needs
from tests.process.health import ENV, health, says
from tests.web.pages import Pages

pytestmark = pytest.mark.takes(45)

DAY_S = 86400
SILENCE_S = 33
"""Three sweeps of a second and half a minute."""


@needs("redis")
def test_a_dead_worker_is_told_with_the_reason_and_so_is_its_return(service: Running) -> None:
    """The launcher, which would restart the worker at once, is stopped meanwhile."""
    assert health(service) == (200, {"status": "well", "reasons": []}) == health(service, "/api/v1/health/")
    worker = service.part("worker")
    service.launcher.send_signal(signal.SIGSTOP)
    try:
        os.killpg(worker.pid, signal.SIGKILL)
        assert eventually(says(service, 503, "no worker is there"), at_most_s=SILENCE_S + 30)
        assert health(service)[1]["status"] == "unwell"
    finally:
        service.launcher.send_signal(signal.SIGCONT)
    assert eventually(says(service, 200, ""), at_most_s=60)


def test_the_start_does_not_print_a_password_it_was_given(service: Running) -> None:
    assert service.said and ENV["SHOP_OWNER_PASSWORD"] not in service.said


@pytest.mark.long
@needs("redis")
def test_a_beat_that_sends_nothing_is_told_apart_from_a_dead_worker(tmp_path: Path) -> None:
    with running(tmp_path, **ENV) as service:
        assert eventually(says(service, 200, ""), at_most_s=60)
        service.part("shop.beat").send_signal(signal.SIGSTOP)
        assert eventually(says(service, 503, "beat sends nothing"), at_most_s=SILENCE_S + 30)
        service.part("shop.beat").send_signal(signal.SIGCONT)
        assert eventually(says(service, 200, ""), at_most_s=30)


@pytest.mark.long
@needs("redis", "postgres")
def test_a_database_and_a_broker_that_are_away_are_told(tmp_path: Path, postgres_url: str) -> None:
    with running(tmp_path, **ENV, SHOP_DATABASE_URL=postgres_url) as service:
        assert eventually(says(service, 200, ""), at_most_s=60)
        server, name = os.environ["SHOP_TEST_POSTGRES_URL"], urlsplit(postgres_url).path.strip("/")
        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f"ALTER DATABASE {name} WITH ALLOW_CONNECTIONS false")
            connection.execute(
                f"SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'"
            )
            assert eventually(says(service, 503, "the database does not answer"))
            connection.execute(f"ALTER DATABASE {name} WITH ALLOW_CONNECTIONS true")
        assert eventually(says(service, 200, ""), at_most_s=30)

        broker = next(
            p for p in service.tree() if "valkey" in p.name() or "valkey-server" in " ".join(p.cmdline())
        )
        broker.send_signal(signal.SIGSTOP)
        assert eventually(says(service, 503, "the broker does not answer"))
        broker.send_signal(signal.SIGCONT)
        assert eventually(says(service, 200, ""), at_most_s=30)


def test_the_limits_fit_into_one_another() -> None:
    """An abandoned task comes again only after one that still runs has been ended."""
    visible = app.conf.broker_transport_options["visibility_timeout"]
    assert settings.BROKER_PATIENCE_S < delivery.LONGEST_RUN_S < app.conf.task_time_limit < visible
    assert app.conf.task_time_limit > press.LONGEST_S
    assert timedelta(seconds=app.conf.task_time_limit) < CLAIM
    assert delivery.LEASE.total_seconds() > settings.EMAIL_TIMEOUT
    assert app.conf.task_acks_late
    assert app.conf.worker_prefetch_multiplier == 1


def test_what_beat_sends_is_known_and_does_not_pile_up() -> None:
    app.loader.import_default_modules()
    assert beat.app.conf.beat_schedule
    for entry in beat.app.conf.beat_schedule.values():
        assert entry["task"] in app.tasks
        every = entry["schedule"]
        assert entry["options"]["expires"] <= (every if isinstance(every, int | float) else DAY_S)


@pytest.mark.django_db
def test_sessions_that_are_over_are_cleared_by_night(owner: Any) -> None:
    signed_in = Pages(owner)
    over = Pages(owner).http.session.session_key
    Session.objects.filter(session_key=over).update(expire_date=timezone.now() - timedelta(seconds=1))
    app.loader.import_default_modules()
    app.tasks["jobs.tasks.clear_sessions"]()
    assert not Session.objects.filter(session_key=over).exists()
    signed_in.get("/")
    (nightly,) = [e for e in beat.app.conf.beat_schedule.values() if e["task"] == "jobs.tasks.clear_sessions"]
    assert nightly["schedule"].is_due(timezone.now() - timedelta(days=1)).is_due


@pytest.mark.django_db
def test_a_sweep_that_breaks_off_is_told(redis_url: str) -> None:
    with pytest.raises(ZeroDivisionError), service_health.record_sweep():
        raise ZeroDivisionError
    assert service_health.reasons(timezone.now()) == ["the last sweep broke off: ZeroDivisionError"]
    with service_health.record_sweep() as said:
        said["messages"] = 1
    assert service_health.reasons(timezone.now()) == []


@pytest.mark.django_db
def test_signs_of_life_from_the_future_are_none(redis_url: str) -> None:
    """After a clock was set back, a sweep recorded by the old time says nothing of now."""
    now = timezone.now()
    with service_health.record_sweep():
        pass
    Heartbeat.objects.filter(name=service_health.SWEEP).update(at=now + timedelta(hours=25))
    service_health.worker_heartbeat("worker1@bench", now + timedelta(hours=25))
    assert "worker1@bench" not in service_health.workers_seen(now)
    (reason,) = service_health.reasons(now)
    assert reason.startswith("no sweep since the clock was set back: ")
    with service_health.record_sweep():
        pass
    assert service_health.reasons(timezone.now()) == [], (
        "a sweep that did nothing writes its sign of life all the same"
    )
    service_health.worker_heartbeat("worker1@bench", now)


@pytest.mark.django_db
def test_a_clock_set_back_is_said_until_it_is_right_or_the_owner_says_so(owner: Any, redis_url: str) -> None:
    now = timezone.now()
    clock_mark.look(now + timedelta(hours=25))
    with service_health.record_sweep():
        pass
    (reason,) = service_health.reasons(timezone.now())
    assert "the clock of this machine jumped back" in reason and "engine room" in reason
    assert service_health.reasons(now + timedelta(hours=25)) != [reason]
    pages = Pages(owner)
    assert "jumped back" in pages.get("/engine-room/").words
    pages.send("/engine-room/", {}, to="/engine-room/clock-right/")
    assert "Everything runs" in pages.get("/engine-room/").words


@pytest.mark.django_db
def test_a_full_or_damaged_machine_is_said_in_the_engine_room(
    owner: Any, redis_url: str, tmp_path: Path, settings: Any
) -> None:
    settings.DATA_DIR = tmp_path
    (tmp_path / "run").mkdir()
    database_damage.note("*** in database main ***\nPage 6: btreeInitPage() returns error code 11")
    page = Pages(owner).get("/engine-room/")
    assert "The database is damaged, *** in database main *** Page 6" in page.words
    assert database_damage.check() == database_damage.noted() == "", (
        "what is whole again is not called damaged"
    )
    assert "Free on the disk" in page.words


@pytest.mark.django_db
def test_what_a_clock_that_was_ahead_put_off_is_done_now(owner: Any) -> None:
    now = timezone.now()
    ahead = now + timedelta(hours=25)
    for n, tries in enumerate((0, 3)):
        OutboxMessage.objects.create(
            kind=REMOVE_FILE, subject=f"file-{n}", created_at=ahead, next_at=ahead, tries=tries
        )
    soon = now + timedelta(minutes=5)
    OutboxMessage.objects.create(kind=REMOVE_FILE, subject="file-9", created_at=now, next_at=soon, tries=1)
    outbox.dispatch_outbox(now)
    left = OutboxMessage.objects.filter(done_at=None).values_list("subject", flat=True)
    assert list(left) == ["file-9"], "one that failed waits for its own time"


def test_beat_starts_afresh_from_a_clock_that_was_set_back(tmp_path: Path) -> None:
    file = tmp_path / "beat.json"
    ahead = timezone.now() + timedelta(hours=25)
    file.write_text(json.dumps({"sweep": ahead.isoformat(), "gone": ahead.isoformat()}))
    scheduler = beat.Scheduler(beat.app, schedule_filename=str(file), lazy=True)
    scheduler.setup_schedule()
    assert scheduler.schedule["sweep"].last_run_at == ahead
    scheduler.forget_the_future()
    assert scheduler.schedule["sweep"].last_run_at <= timezone.now()
    scheduler.sync()
    assert datetime.fromisoformat(json.loads(file.read_text())["sweep"]) <= timezone.now()
    file.write_text("{")
    assert scheduler.kept() == {}


@pytest.mark.django_db
def test_a_lease_is_renewed_by_its_holder_only() -> None:
    now = timezone.now()
    with leases.hold("x", now=now, length=timedelta(seconds=20)) as holder:
        assert leases.renew("x", holder=holder, until=now + timedelta(minutes=1))
        assert not leases.renew("x", holder="another", until=now + timedelta(minutes=1))


@pytest.mark.django_db
def test_the_engine_room_shows_what_happened(owner: Any, redis_url: str) -> None:
    service_health.worker_heartbeat("worker1@bench", timezone.now())
    with service_health.record_sweep() as said:
        said.update(messages=3, effects=1)
    service_health.beat(service_health.EXPORT, now=timezone.now(), said={"events": 12})
    page = Pages(owner).get("/engine-room/")
    done = ("3 messages", "1 paper or other work")
    for words in ("Everything runs", *done, "Worker 1 alive at", "12 entries", "Tables up to date"):
        assert words in page.words, words
    assert "@bench" not in page.text, "a machine's name for its worker is no use here"
    Heartbeat.objects.update(at=timezone.now() - service_health.silence_allowed() - timedelta(seconds=1))
    assert "No sweep for" in Pages(owner).get("/engine-room/").words
