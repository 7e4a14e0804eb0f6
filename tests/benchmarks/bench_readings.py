"""A million readings, two hundred running waits, ten thousand pending reminders: one reading, one sweep."""

from collections.abc import Callable
from datetime import datetime, timedelta
from math import cos, pi
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from calcs.series import STEP_S
from jobs import reminders
from jobs.air import step_of
from jobs.models import AirMean, Channel, Person, Reading, ReminderDue, ReminderKind, Wait, WaitEstimate
from jobs.readings import take_readings
from tests.benchmarks.bench_ratios import seconds
from tests.shop_fixtures import Work, an_owner

READINGS, WAITS, PENDING = 1_000_000, 200, 10_000
EVERY = timedelta(minutes=3)
CHUNK = 5000


def air_of(moment: datetime) -> str:
    """Warm by day, cool at night."""
    return f"{16 - 4 * cos(2 * pi * moment.hour / 24):.2f}"


def a_million(now: datetime) -> None:
    """Of two places, written straight: that readings are taken in one by one is not what is measured."""
    of_each = READINGS // 2
    for place in ("shop", "finishing room"):
        for begin in range(0, of_each, CHUNK):
            moments = [now - (n + 1) * EVERY for n in range(begin, begin + CHUNK)]
            rows = [
                Reading(place=place, source="sensor-1", at=m, temp_c=air_of(m), rh_pct="45", recorded_at=m)
                for m in moments
            ]
            Reading.objects.bulk_create(rows, batch_size=CHUNK if connection.vendor == "postgresql" else 100)
        last = step_of(now)
        steps = range(last - int(of_each * EVERY.total_seconds() / STEP_S), last)
        means = [AirMean(place=place, step=s, temp_c=15 + s % 5, rh_pct=45) for s in steps]
        AirMean.objects.bulk_create(means, batch_size=CHUNK if connection.vendor == "postgresql" else 200)


def two_hundred_waits(owner: Person, now: datetime) -> None:
    """Those of one piece in clamps, and copies with their stages and pieces, begun at other times: only in
    this benchmark are rows of state written past the log."""
    work = Work(owner, now=now - timedelta(days=25))
    piece = work.accepted()
    work.do_until(piece, "glue-up")
    running = Wait.objects.filter(step=Wait.Step.RUNNING, ready_s__isnull=False).select_related("stage")
    real = [wait for wait in running if "product" in wait.basis]
    running.update(since=now - timedelta(hours=5))
    for n in range(-(-WAITS // len(real)) - 1):
        copy = _copied(piece, 10**12 + n, number=f"copy-{n}")
        stages = {
            stage: _copied(stage, 10**13 + 100 * n + stage.position, piece=copy)
            for stage in {wait.stage for wait in real}
        }
        for m, wait in enumerate(real):
            since = now - timedelta(hours=1 + n % 60)
            _copied(wait, 10**14 + 100 * n + m, stage=stages[wait.stage], since=since)


def _copied(row: Any, key: int, **changed: Any) -> Any:
    fields = {f.name: getattr(row, f.name) for f in row._meta.concrete_fields}
    return type(row).objects.bulk_create([type(row)(**{**fields, "id": key, **changed})])[0]


def ten_thousand_pending(owner: Person, now: datetime) -> None:
    waits = list(Wait.objects.filter(step=Wait.Step.RUNNING))
    ReminderDue.objects.bulk_create(
        (
            ReminderDue(
                wait=waits[n % len(waits)], kind=ReminderKind.READY, person=owner.id, channel=Channel.MAIL,
                attempt=100 + n // len(waits), due_at=now + timedelta(minutes=1 + n),
            )
            for n in range(PENDING)
        ),
        batch_size=500,
    )  # fmt: skip


def best(work: Callable[[], object], times: int = 5) -> float:
    return min(seconds(work) for _ in range(times))


@pytest.mark.both_databases
@pytest.mark.django_db
def bench_a_reading_and_a_sweep() -> None:
    now = timezone.now().replace(microsecond=0)
    owner = an_owner(email="ada@lindenau.example")
    two_hundred_waits(owner, now)
    a_million(now)
    nth = iter(range(10_000))

    def one_reading() -> None:
        at = now + timedelta(seconds=next(nth))
        entry = {"at": at, "temperature": "12", "humidity": "50"}
        assert take_readings([entry], source="sensor-2", temperature_unit="C", now=at).kept

    def bare_readings() -> None:
        first = step_of(now) - 16 * 86400 // STEP_S
        list(AirMean.objects.filter(place="shop", step__gte=first).values_list("step", "temp_c", "rh_pct"))

    reckoned, bare = best(one_reading), best(bare_readings)
    assert WaitEstimate.objects.exclude(known_until=None).count() >= WAITS
    print(
        f"\n{connection.vendor}: a reading with {WAITS} running waits and {READINGS} readings:"
        f" {reckoned * 1000:.0f} ms; {reckoned / bare:.0f} times reading the two weeks of its place alone"
        f" ({bare * 1000:.1f} ms)",
        end="",
    )
    ReminderDue.objects.all().delete()
    ten_thousand_pending(owner, now)

    def bare_due() -> None:
        list(ReminderDue.objects.filter(due_at__lte=now).values_list("id")[:1])

    swept, bare = best(lambda: reminders.deliver_due(now)), best(bare_due)
    assert reminders.deliver_due(now) == 0
    print(
        f"\n{connection.vendor}: a sweep over {PENDING} pending reminders: {swept * 1000:.1f} ms;"
        f" {swept / bare:.1f} times the bare query ({bare * 1000:.1f} ms)",
        end="",
    )
