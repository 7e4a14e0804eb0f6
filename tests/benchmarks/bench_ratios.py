"""Ratios instead of seconds: each figure stands beside a baseline of the same machine and minute."""

import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain.clients.commands import add_client
from jobs.domain.stages.commands import put_back_stage, start_stage
from jobs.log.commands import all_events
from jobs.log.rebuild import compare, rebuild
from jobs.models import Event
from tests.shop_fixtures import INCHES, Work, an_owner
from tests.stories import a_long_story
from tests.web.every_page import a_whole_shop
from tests.web.every_page import pages as every_page
from tests.web.grown import grown_to_500
from tests.web.kit.test_queries import in_the_shop
from tests.web.pages import Pages

BATCH, BATCHES = 100, 3
DURABLE = "PRAGMA synchronous=FULL"
"""As in a service: other tests need not survive a power cut."""


def seconds(work: Callable[[], Any]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def fastest(*works: Callable[[], Any]) -> list[float]:
    """Return the best time of each, taken in turns so that all meet the same machine."""
    rounds = [[seconds(work) for work in works] for _ in range(BATCHES)]
    return [min(times) for times in zip(*rounds, strict=True)]


def processor_s(work: Callable[[], Any]) -> float:
    """Return the best of several processor times, which leave out what else the machine does."""
    times = []
    for _ in range(BATCHES):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def tell(what: str, figure: str, ratio: float, baseline: str) -> None:
    print(f"\n{what}: {figure}; {ratio:.2f} of {baseline}", end="")


def plain_inserts(folder: Path) -> Callable[[], None]:
    """Return a baseline: rows of an event's size, one a transaction, by sqlite3 with the same pragmas."""
    plain = sqlite3.connect(folder / "plain.sqlite3", isolation_level=None)
    plain.executescript(settings.DATABASES["default"]["OPTIONS"]["init_command"] + DURABLE)
    plain.execute("CREATE TABLE IF NOT EXISTS event (seq INTEGER PRIMARY KEY, body TEXT)")

    def insert() -> None:
        for _ in range(BATCH):
            plain.execute("BEGIN IMMEDIATE")
            plain.execute("INSERT INTO event (body) VALUES (?)", ["x" * 800])
            plain.execute("COMMIT")

    return insert


@pytest.mark.django_db(transaction=True)
def bench_commands() -> None:
    work = Work(an_owner())
    piece = work.accepted()
    plain = plain_inserts(Path(settings.DATABASES["default"]["NAME"]).parent)
    with connection.cursor() as cursor:
        cursor.execute(DURABLE)

    def clients() -> None:
        for _ in range(BATCH):
            add_client(work.call(), name="Orla Fenwick", email="orla@fenwick.example")

    def stages() -> None:
        for _ in range(BATCH // 2):
            start_stage(work.call(), piece=piece.number, stage="survey", units=INCHES)
            put_back_stage(work.call(), piece=piece.number, stage="survey")

    insert, adding, starting = fastest(plain, clients, stages)
    baseline = f"plain inserts with the same pragmas ({BATCH / insert:.0f} a second)"
    for what, took in (("clients added", adding), ("stages started and put back", starting)):
        tell(what, f"{BATCH / took:.0f} commands a second", insert / took, baseline)


@pytest.mark.django_db
def bench_rebuild() -> None:
    work = a_long_story()
    piece = work.accepted()
    for _ in range(150):
        start_stage(work.call(), piece=piece.number, stage="survey", units=INCHES)
        put_back_stage(work.call(), piece=piece.number, stage="survey")
    count = Event.objects.count()
    reading, folding, comparing = fastest(lambda: [e.data for e in all_events()], rebuild, compare)
    baseline = f"reading {count} events ({count / reading:.0f} a second)"
    tell("rebuild", f"{count / folding:.0f} events a second", reading / folding, baseline)
    tell("rebuild --check", f"{count / comparing:.0f} events a second", reading / comparing, baseline)


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/bench/now/", "/commissions/"])
def bench_pages(path: str) -> None:
    owner = an_owner()
    work, pages = Work(owner), Pages(owner)

    def asked() -> tuple[int, float]:
        (took,) = fastest(lambda: pages.get(path))
        with CaptureQueriesContext(connection) as queries:
            pages.get(path)
        return len(queries), took

    in_the_shop(work, 5)
    few, quick = asked()
    in_the_shop(work, 495)
    many, slow = asked()
    figure = f"{many} queries, {slow * 1000:.0f} ms"
    baseline = f"the queries, {slow / quick:.2f} of the time with 5 ({few} queries, {quick * 1000:.0f} ms)"
    tell(f"{path} with 500 commissions", figure, many / few, baseline)


@pytest.mark.django_db
def bench_years() -> None:
    """Measure pages that add up years, in processor time: 500 commissions of one client, most closed."""
    work = a_whole_shop()
    http, told = Pages(work.by).http, every_page(work.by)
    paths = [told[name][0] for name in ("hours", "own-rates", "client", "receivables", "statement", "bench")]
    paths += ["/kept/", told["forget-client"][0]]
    few = {path: processor_s(lambda path=path: http.get(path)) for path in paths}  # type: ignore[misc]
    grown_to_500()
    for path in paths:
        many = processor_s(lambda: http.get(path))  # noqa: B023
        figure = f"{many * 1000:.0f} ms"
        tell(f"{path} after years", figure, many / few[path], f"7 commissions ({few[path] * 1000:.0f} ms)")
