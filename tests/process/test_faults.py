"""Faults under a real service: a full disk, a clock set back, altered files, a damaged page, kills.

One service on a small disk, whose clock can be set. Each test causes a fault, reads the message, repairs the
fault and checks that the service recovers by itself; ``-s`` prints a row for each.
"""

import base64
import io
import os
import shutil
import signal
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from shop.env import BASE_DIR
from tests.launch.disk import disk, fill
from tests.launch.running import Running, eventually, running
from tests.mailbox import mails_in
from tests.needs import needs
from tests.process.client import Client, Refused, manage
from tests.process.health import ENV, health, says
from tests.process.seconds import STAGE, a_box, accepted_commission, give_route

pytestmark = [needs("redis"), needs("mount"), needs("compiler"), pytest.mark.takes(52)]
DISK = "size=100m"
"""A twentieth of this disk is the warning and a fiftieth the reserve: 5.2 and 2.1 MB."""
KB = 1024


class Shop:
    """The running service, its data, its clock, and somebody at work."""

    def __init__(self, service: Running, data: Path, clock: Path) -> None:
        self.service, self.data, self.clock = service, data, clock
        self.client = Client.of_owner(service, data)
        self.commission = accepted_commission(self.client)
        self.piece = self.add_box("first")

    def add_box(self, label: str) -> str:
        at = f"commissions/{self.commission}/pieces/"
        return str(self.client.post(at, a_box(label))["piece"]["number"])

    def works(self, label: str) -> None:
        """Check that health is well and that worker and beat act: a wait of a second brings a mail."""
        assert eventually(says(self.service, 200, ""), at_most_s=120), health(self.service)
        piece = self.add_box(label)
        for verb, body in (("start", {}), ("finish", {"minutes": 1})):
            self.client.post(STAGE.format(piece, verb), body)
        assert eventually(lambda: self.was_mailed(piece), at_most_s=60), f"no mail for {piece}"

    def was_mailed(self, piece: str) -> bool:
        return any(str(mail["Subject"]).startswith(piece) for mail in mails_in(self.data / "mail"))

    def refused(self, path: str, body: dict[str, Any]) -> Refused:
        with pytest.raises(Refused) as refusal:
            self.client.post(path, body)
        return refusal.value

    def row(self, fault: str, outcome: str) -> None:
        print(f"\n{fault:<22} {outcome}")


def settable(folder: Path) -> Path:
    """Compile the library that shifts the clock of the process that loads it."""
    made = folder / "set_clock.so"
    source = BASE_DIR / "tests" / "process" / "set_clock.c"
    subprocess.run(["cc", "-shared", "-fPIC", "-O1", "-o", str(made), str(source), "-ldl"], check=True)
    return made


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("faults")
    clock = folder / "clock"
    clock.write_text("0")
    with disk(folder / "disk", DISK) as small:
        give_route(small / "data")
        env = {
            **ENV, "SHOP_OWNER_EMAIL": "ines@shop.example", "LD_PRELOAD": str(settable(folder)),
            "SET_CLOCK": str(clock),
        }  # fmt: skip
        with running(small / "data", **env) as service:
            yield Shop(service, small / "data", clock)


def a_photo() -> str:
    out = io.BytesIO()
    Image.frombytes("RGB", (640, 480), os.urandom(640 * 480 * 3)).save(out, "JPEG", quality=95)
    return base64.b64encode(out.getvalue()).decode()


def test_a_disk_that_fills_up_warns_keeps_a_reserve_for_events_and_all_goes_on_once_freed(shop: Shop) -> None:
    shop.works("before the disk is full")
    at, photo = f"pieces/{shop.piece}/stages/glue-up/pictures/", a_photo()
    filler = shop.data.parent / "filler"
    fill(filler, leave=4 * KB * KB)
    status, body = health(shop.service)
    assert (status, body["status"]) == (200, "warning") and "filling up" in body["reasons"][0]
    shop.client.post(at, {"picture": photo})

    fill(filler, leave=1536 * KB)
    assert eventually(says(shop.service, 503, "the disk is nearly full"))
    refusal = shop.refused(at, {"picture": photo})
    assert (refusal.status, refusal.problem["code"]) == (507, "no-room")
    assert "free some space" in refusal.problem["detail"]
    shop.add_box("in the reserve")

    try:
        fill(filler, leave=0)
        refusal = until_refused(shop)
        assert (refusal.status, refusal.problem["code"]) == (507, "disk-full")
        assert shop.service.get() == 200
        broker = next(p for p in shop.service.tree() if p.name() == "valkey-server")
        shop.service.part("shop.beat").kill()
        shop.service.wait_for("The beat runs again", at_most_s=60)
        assert not list((shop.data / "files").glob(".*")), "half a picture was left"
    finally:
        filler.unlink()
    shop.works("after it was freed")
    assert shop.service.launcher.poll() is None and broker.is_running()
    done = manage(shop.data, "verify_log", "--files")
    assert done.returncode == 0, done.stderr
    shop.row("full disk", "warned, pictures then all refused with 507; freed, all went on by itself")


def until_refused(shop: Shop) -> Refused:
    """Write until the room that the database has allocated is used up as well; return the refusal."""
    for _ in range(500):
        try:
            shop.client.post(f"pieces/{shop.piece}/stages/glue-up/notes/", {"words": "x" * 4000})
        except Refused as refusal:
            return refusal
    raise AssertionError("a full disk refused nothing")


def test_a_clock_set_back_is_said_and_sweeps_go_on(shop: Shop) -> None:
    shop.works("before the clock jumped")
    shop.clock.write_text(f"-{25 * 3600}")
    try:
        assert eventually(says(shop.service, 503, "the clock of this machine jumped back"), at_most_s=40)
        piece = shop.add_box("after the clock jumped")
        for verb, body in (("start", {}), ("finish", {"minutes": 1})):
            shop.client.post(STAGE.format(piece, verb), body)
        assert eventually(lambda: shop.was_mailed(piece), at_most_s=60)
        told = says(shop.service, 503, "Set it right")
        assert eventually(lambda: told() and len(health(shop.service)[1]["reasons"]) == 1, at_most_s=40)
    finally:
        shop.clock.write_text("0")
    shop.works("after it was set right")
    shop.row("clock back 25 h", "said by health; mails went out; well again once it was right")


@pytest.mark.long
def test_a_damaged_page_of_the_database_is_said_by_health_and_at_the_next_start(
    shop: Shop, tmp_path: Path
) -> None:
    """Works on a copy of the shop, since the damage stays."""
    shop.works("before the copy")
    copy = tmp_path / "data"
    copy.mkdir(mode=0o700)
    with closing(sqlite3.connect(shop.data / "shop.sqlite3")) as live:
        live.execute("VACUUM INTO ?", [str(copy / "shop.sqlite3")])
    shutil.copytree(shop.data / "files", copy / "files")
    with running(copy, **ENV) as service:
        client = Client.of_owner(service, copy)
        damage(copy / "shop.sqlite3", "jobs_commission")
        for _ in range(20):  # each process caches pages for a while
            with suppress(Refused):
                client.get("commissions/")
        assert eventually(says(service, 503, "the database is damaged"), at_most_s=20)
        with pytest.raises(Refused) as refusal:
            client.get("commissions/")
        assert (refusal.value.status, refusal.value.problem["code"]) == (503, "database-damaged")
    again = Running(copy, **ENV)
    assert "Put a backup of the database in its place" in again.wait_for("is damaged")
    assert again.launcher.wait(20) == 1 and "Traceback" not in again.said
    shop.row("damaged page", "503 and health say what to do; the next start refuses in one line")


def damage(database: Path, table: str) -> None:
    """Overwrite the first page of a table, as a bad disk may."""
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", [table]).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    with database.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(os.urandom(size))


@pytest.mark.long
def test_an_altered_file_is_said_and_an_export_refuses_it(shop: Shop, tmp_path: Path) -> None:
    sheet = shop.client.post(f"commissions/{shop.commission}/job-sheet/", {})["paper"]["number"]
    assert eventually(lambda: shop.client.get(f"papers/{sheet}/")["has_file"], at_most_s=90)
    path = shop.data / "files" / shop.client.get(f"papers/{sheet}/")["sha256"]
    whole = path.read_bytes()
    path.write_bytes(whole[:-1])
    with pytest.raises(Refused) as refusal:
        shop.client.get(f"papers/{sheet}/pdf/")
    assert (refusal.value.status, refusal.value.problem["code"]) == (404, "file-damaged")
    for verb in (["export", str(tmp_path / "out")], ["verify_log", "--files"]):
        done = manage(shop.data, *verb)
        assert done.returncode == 1 and f"{path.name} ({sheet}) was altered" in done.stderr
    assert not (tmp_path / "out").exists()
    path.write_bytes(whole)
    assert manage(shop.data, "export", str(tmp_path / "out")).returncode == 0
    shop.row("altered file", "named by page, API, verify_log --files and export")


@pytest.mark.long
@pytest.mark.parametrize("part", ["granian", "worker", "shop.beat", "valkey-server"])
def test_a_killed_part_comes_back(shop: Shop, part: str) -> None:
    name = {"granian": "web", "shop.beat": "beat", "valkey-server": "broker"}.get(part, part)
    shop.works(f"before the kill of the {name}")
    killed = next(p for p in shop.service.tree() if p.name() == part or part in p.cmdline())
    killed.send_signal(signal.SIGKILL)
    shop.service.wait_for(f"The {name} runs again", at_most_s=60)
    assert eventually(shop.service.answers, at_most_s=60)
    shop.works(f"after the kill of the {name}")
    shop.row(f"kill of the {name}", "started again, mails go out")
