"""Every part of the service is killed at random moments under load; nothing acknowledged gets lost.

The seed of the random moments is printed; ``SHOP_TEST_SEED`` sets it.
"""

import os
import random
import secrets
import sqlite3
import threading
import time
from collections import Counter, defaultdict
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

import psutil
import pytest

from tests.launch.running import Running, eventually, running
from tests.mailbox import mails_in
from tests.process.client import Client, manage
from tests.process.seconds import STAGE, a_box, accepted_commission, give_route

pytestmark = pytest.mark.takes(60)

ENV = {
    "SHOP_OWNER_PASSWORD": "spokeshave and rasp", "SHOP_OWNER_EMAIL": "ines@shop.example",
    "SHOP_SWEEP_SECONDS": "1", "SHOP_TIME_ZONE": "UTC",
}  # fmt: skip
PARTS = ("web", "worker", "beat", "broker")
WRITERS, PIECES_EACH = 4, 40
"""Fewer than a commission takes, by more than there are writers."""
LONGEST_CLAIM_S = 200
"""A worker killed between claiming and sending leaves a claim of two minutes and a lease of one."""


@dataclass
class Load:
    """People at work, each request repeated under its key until it is answered."""

    client: Client
    commissions: list[str]
    events: dict[str, list[int]] = field(default_factory=dict)
    pieces: list[str] = field(default_factory=list)
    paths: dict[str, str] = field(default_factory=dict)
    writers: list[Future[None]] = field(default_factory=list)
    broken: int = 0

    def work(self, writer: int, rng: random.Random, stop: threading.Event) -> None:
        n = 0
        while not stop.wait(rng.uniform(0.05, 0.5)):
            self.glue_up(f"{writer}-{n}")
            n += 1

    def answered(self, enough: int) -> bool:
        """Return whether so many requests were answered; raise at once why a writer gave up."""
        for writer in self.writers:
            if writer.done():
                writer.result()
        return len(self.events) >= enough

    def glue_up(self, name: str) -> None:
        """Add a piece, start it, put it back, start it again and leave it in clamps."""
        path = f"commissions/{self.commissions[len(self.pieces) // PIECES_EACH]}/pieces/"
        added = self.send(f"{name} add", path, a_box(f"Box {name}"))
        piece = added["piece"]["number"]
        for n, verb in enumerate(("start", "put-back", "start", "finish")):
            self.send(f"{name} {n}", STAGE.format(piece, verb), {"minutes": 1} if verb == "finish" else {})
        self.pieces.append(piece)
        self.paths[name] = path

    def send(self, key: str, path: str, body: dict[str, object]) -> dict[str, dict[str, str]]:
        answer, broken = self.client.until_acknowledged(path, body, key=key)
        self.broken += broken
        self.events[key] = answer.body["events"]
        return answer.body  # type: ignore[no-any-return]


@dataclass
class Killer:
    """Kills a part, and after all parts the launcher, whose next start must clear up."""

    data: Path
    service: Running
    load: Load
    rng: random.Random
    killed: Counter[str] = field(default_factory=Counter)

    def rounds(self, count: int) -> None:
        """Kill so many times or a few more, until at least one kill has hit a request."""
        while self.killed.total() < count or not self.load.broken and self.killed.total() < count + 24:
            parts = [*PARTS, *self.rng.choices(PARTS, k=2)]
            self.rng.shuffle(parts)
            for part in parts:
                self.let_work()
                self.kill_part(part)
            self.let_work()
            self.kill_launcher()

    def let_work(self) -> None:
        """Wait until a few more requests were answered and some of the next ones are under way."""
        enough = len(self.load.events) + self.rng.randint(1, 4)
        assert eventually(lambda: self.load.answered(enough), at_most_s=90), "nothing is answered"
        time.sleep(self.rng.uniform(0, 0.3))

    def kill_part(self, part: str) -> None:
        """Kill the part itself or one of its processes, at random."""
        found: list[psutil.Process] = []
        back = eventually(lambda: bool(found.extend(self.processes(part)) or found), at_most_s=60)
        assert back, f"the {part} does not come back"
        with suppress(psutil.NoSuchProcess):
            self.rng.choice(found).kill()
            self.killed[part] += 1

    def processes(self, part: str) -> list[psutil.Process]:
        word = {"web": "granian", "beat": "shop.beat", "broker": "valkey-server"}.get(part, part)
        with suppress(psutil.NoSuchProcess, psutil.ZombieProcess):
            for child in psutil.Process(self.service.launcher.pid).children():
                if any(word in piece.rpartition("/")[2] for piece in child.cmdline()):
                    return [child, *child.children(recursive=True)]
        return []

    def kill_launcher(self) -> None:
        """Kill the launcher alone, with all its children, or twice while it starts."""
        how = self.rng.choice(("alone", "with all", "twice"))
        if how == "with all":
            for process in self.service.tree():
                with suppress(psutil.NoSuchProcess):
                    process.kill()
        self.end_launcher()
        if how == "twice":
            self.service = Running(self.data, port=self.service.port, **ENV)
            time.sleep(self.rng.uniform(0.1, 2))
            self.end_launcher()
        self.service = Running(self.data, port=self.service.port, **ENV).up()

    def end_launcher(self) -> None:
        self.service.launcher.kill()
        self.service.launcher.wait()
        self.killed["launcher"] += 1


@pytest.mark.parametrize("rounds", [4, *(pytest.param(n, marks=pytest.mark.long) for n in (30, 300))])
def test_nothing_acknowledged_is_lost_whatever_is_killed(tmp_path: Path, rounds: int) -> None:
    seed = int(os.environ.get("SHOP_TEST_SEED", secrets.randbelow(2**32)))
    print(f"SHOP_TEST_SEED={seed}")
    give_route(tmp_path)
    with running(tmp_path, **ENV) as service:
        client = Client.of_owner(service, tmp_path)
        load = Load(client, [accepted_commission(client) for _ in range(3 + rounds // 4)])
        killer = Killer(tmp_path, service, load, random.Random(seed))
        try:
            under(load, killer, rounds, seed)
            assert load.broken, "no kill hit a request"
            once_each(load, tmp_path)
            folds_and_verifies(tmp_path)
            each_reminder_came(load, killer, tmp_path / "mail")
        finally:
            if killer.service is not service:
                killer.service.end()


def under(load: Load, killer: Killer, rounds: int, seed: int) -> None:
    stop = threading.Event()
    with ThreadPoolExecutor(WRITERS) as pool:
        load.writers = [pool.submit(load.work, n, random.Random(seed + n), stop) for n in range(WRITERS)]
        try:
            killer.rounds(rounds)
        finally:
            stop.set()
        for writer in load.writers:
            writer.result()
    print(f"\nkilled {dict(killer.killed)}; {len(load.events)} requests, {load.broken} repeated")


def once_each(load: Load, data: Path) -> None:
    """Check that exactly the acknowledged is stored, and that a repeat under the key answers the same."""
    with closing(sqlite3.connect(data / "shop.sqlite3")) as shop:
        kept = {key: (first, last) for key, first, last in shop.execute(
            "SELECT key, first_seq, last_seq FROM jobs_commandkey"
        ) if key in load.events}  # fmt: skip
        added = shop.execute("SELECT count(*) FROM jobs_event WHERE kind = 'piece_added'").fetchone()[0]
    assert kept == {key: (min(seqs), max(seqs)) for key, seqs in load.events.items()}
    assert added == len(load.pieces)
    claimed = [seq for seqs in load.events.values() for seq in seqs]
    assert len(claimed) == len(set(claimed))
    for name, path in list(load.paths.items())[-10:]:
        again = load.client.once("POST", path, a_box(f"Box {name}"), key=f"{name} add").body
        assert again["replayed"] and again["events"] == load.events[f"{name} add"]


def folds_and_verifies(data: Path) -> None:
    for verb in (["verify_log"], ["rebuild", "--check"]):
        done = manage(data, *verb)
        assert done.returncode == 0, done.stdout + done.stderr


def each_reminder_came(load: Load, killer: Killer, folder: Path) -> None:
    """Check that each reminder came once; one killed before its record may repeat with its Message-ID."""

    def ids() -> dict[str, list[str]]:
        found = defaultdict(list)
        for mail in mails_in(folder):
            found[str(mail["Subject"]).split()[0]].append(str(mail["Message-ID"]))
        return found

    assert load.pieces
    assert eventually(lambda: ids().keys() >= set(load.pieces), at_most_s=LONGEST_CLAIM_S), (
        set(load.pieces) - ids().keys()
    )
    assert all(len(set(same)) == 1 for same in ids().values())
    repeated = sum(len(same) - 1 for same in ids().values())
    assert repeated <= killer.killed["worker"] + killer.killed["launcher"]


@pytest.mark.long
def test_the_service_answers_again_within_seconds(tmp_path: Path) -> None:
    with running(tmp_path, **ENV) as service:
        client = Client.of_owner(service, tmp_path)
        service.part("granian").kill()
        service.wait_for("The web runs again", at_most_s=20)
        begun = time.monotonic()
        answer, _ = client.until_acknowledged("clients/", {"name": "After the fall"}, key="after")
        assert answer.status == 201
        assert time.monotonic() - begun < 20
