"""A million readings, two hundred running waits, ten thousand pending reminders: one reading, one sweep."""

import gc
import time
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from functools import partial
from itertools import count
from math import cos, pi
from statistics import median
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from calcs.curing.series import STEP_S
from jobs.domain.climate.air_history import step_of
from jobs.domain.climate.readings import take_readings
from jobs.domain.reminders import delivery
from jobs.domain.reminders.projection import estimate_clocked
from jobs.models import AirMean, Channel, Person, Reading, ReminderDue, Wait, WaitEstimate
from tests.benchmarks.bench_ratios import seconds
from tests.shop_fixtures import Work, an_owner

READINGS, WAITS, PENDING = 1_000_000, 200, 10_000
EVERY = timedelta(minutes=3)
CHUNK = 5000


def air_of(moment: datetime) -> str:
    """Return a temperature: warm by day, cool at night."""
    return f"{16 - 4 * cos(2 * pi * moment.hour / 24):.2f}"


def a_million(now: datetime) -> None:
    """Write a million readings of two places directly; taking them in one by one is not measured."""
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
    """Write two hundred waits: those of one piece in clamps, and copies of them with other starts.

    The stages, pieces and commissions are copies too. Only this benchmark writes rows of state past the log.
    """
    work = Work(owner, now=now - timedelta(days=25))
    piece = work.accepted(glue="epoxy")
    work.do_until(piece, "glue-up")
    running = Wait.objects.filter(step=Wait.Step.RUNNING, ready_s__isnull=False).select_related("stage")
    real = [wait for wait in running if "product" in wait.basis]
    running.update(since=now - timedelta(hours=1))
    for n in range(-(-WAITS // len(real)) - 1):
        order = _copied(piece.commission, 10**12 + n, number=f"copy-{n}")
        copy = _copied(piece, 10**12 + n, number=f"copy-{n}-A", commission=order)
        stages = {
            stage: _copied(stage, 10**13 + 100 * n + stage.position, piece=copy)
            for stage in {wait.stage for wait in real}
        }
        for m, wait in enumerate(real):
            since = now - timedelta(minutes=20 * (n % 18))
            _copied(wait, 10**14 + 100 * n + m, stage=stages[wait.stage], since=since)


def _copied(row: Any, key: int, **changed: Any) -> Any:
    fields = {f.name: getattr(row, f.name) for f in row._meta.concrete_fields}
    return type(row).objects.bulk_create([type(row)(**{**fields, "id": key, **changed})])[0]


def ten_thousand_pending(owner: Person, now: datetime) -> None:
    """Write pending reminders of supplies, due from tomorrow on; those of the waits are extra."""
    ReminderDue.objects.bulk_create(
        (
            ReminderDue(
                subject=f"supply:{n}", occasion="2026-12-01", kind="supply low", person=owner.id,
                channel=Channel.MAIL, attempt=1, due_at=now + timedelta(days=1, minutes=n),
            )
            for n in range(PENDING)
        ),
        batch_size=500,
    )  # fmt: skip


def as_in_a_service() -> None:
    """Update statistics and free memory, as a running service would have.

    PostgreSQL analyses its tables once a minute, but not rows of an open transaction. Making a million rows
    leaves garbage.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    gc.collect()


def typical(works: Iterable[Callable[[], object]]) -> tuple[float, str]:
    """Return the median of the seconds, and a text with the fastest and this process's share.

    On a busy machine the rest is waiting.
    """
    begun, rounds = time.process_time(), [seconds(work) for work in works]
    figures = (median(rounds), min(rounds), (time.process_time() - begun) / len(rounds))
    told = "{:.1f} ms (fastest {:.1f}, {:.1f} our process's)".format(*(1000 * each for each in figures))
    return figures[0], told


def likely() -> dict[int, datetime | None]:
    return dict(WaitEstimate.objects.exclude(known_until=None).values_list("wait", "likely_at"))


@pytest.mark.both_databases
@pytest.mark.django_db
def bench_a_reading_and_a_sweep() -> None:
    now = timezone.now().replace(microsecond=0)
    owner = an_owner(email="ada@lindenau.example")
    two_hundred_waits(owner, now)
    a_million(now)
    ten_thousand_pending(owner, now)
    as_in_a_service()
    sources = count()

    def one_reading(temp_c: int) -> None:
        entry = {"at": now, "temperature": str(temp_c), "humidity": "50"}
        assert take_readings([entry], source=f"sensor {next(sources)}", temperature_unit="C", now=now).kept

    def bare_readings() -> None:
        first = step_of(now) - 16 * 86400 // STEP_S
        list(AirMean.objects.filter(place="shop", step__gte=first).values_list("step", "temp_c", "rh_pct"))

    one_reading(20)
    estimate_clocked()  # the first moves every wait from the time of its start to that of the air
    before = likely()
    one_reading(5)
    estimate_clocked()
    moved = sum(before[wait] != at for wait, at in likely().items())
    answers = sorted(seconds(partial(one_reading, n % 40)) for n in range(100))
    print(
        f"\n{connection.vendor}: a reading among {READINGS} is answered in {answers[50] * 1000:.1f} ms,"
        f" 95 of 100 in {answers[95] * 1000:.1f} ms",
        end="",
    )
    one_reading(-5)
    estimated, told = typical([estimate_clocked] * 5)
    bare, _ = typical([bare_readings] * 5)
    print(
        f"\n{connection.vendor}: the estimates of {len(before)} running waits, {moved} of which a reading"
        f" moved, with {PENDING} pending reminders: {told}; {estimated / bare:.0f} times reading the two"
        f" weeks of its place alone ({bare * 1000:.1f} ms)",
        end="",
    )
    sent = delivery.deliver_due(now)
    as_in_a_service()
    stand = ReminderDue.objects.filter(due_at__lte=now).count()

    def bare_due() -> None:
        list(ReminderDue.objects.filter(due_at__lte=now).values_list("id")[:1])

    swept, told = typical([partial(delivery.deliver_due, now)] * 9)
    bare, _ = typical([bare_due] * 7)
    assert delivery.deliver_due(now) == 0
    print(
        f"\n{connection.vendor}: a sweep over {PENDING} pending reminders, {sent} messages sent before and"
        f" {stand} reminders unanswered: {told}; {swept / bare:.1f} times the bare query"
        f" ({bare * 1000:.1f} ms)",
        end="",
    )
