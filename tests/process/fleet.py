"""Workers and beats without a web server, as many as wanted, over one data folder; each can be killed."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

import psutil

from shop.env import BASE_DIR
from shop.launch import broker
from shop.launch.processes import MARK
from shop.launch.service import BEAT, WORKER
from tests.launch.running import clean_env

TABLES = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("ensure_owner")
"""


@cache
def _database() -> bytes:
    """Return a database with its tables and its owner, made once: the file of a new shop."""
    with TemporaryDirectory(prefix="shop-tables-") as folder:
        data = Path(folder)
        Fleet(data).python("-c", TABLES)
        return (data / "shop.sqlite3").read_bytes()


class Fleet:
    """The broker, the workers and the beats of one shop."""

    def __init__(self, data: Path, **env: str) -> None:
        self.data = data
        self.env = clean_env(
            data, SHOP_TIME_ZONE="UTC", DJANGO_SETTINGS_MODULE="shop.settings", **{MARK: str(data)}, **env
        )
        self.running: dict[str, subprocess.Popen[bytes]] = {}

    def python(self, *arguments: str) -> str:
        done = subprocess.run(
            [sys.executable, *arguments], env=self.env, cwd=BASE_DIR, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def start(self, name: str, command: list[str], *, stderr: IO[str] | None = None) -> None:
        self.running[name] = subprocess.Popen(
            command, env=self.env, cwd=BASE_DIR, start_new_session=True, stderr=stderr
        )

    def start_broker(self) -> None:
        self.start("broker", broker.command(self.data))
        assert broker.wait(self.data, at_most_s=30), "the broker does not answer"

    def start_worker(self, name: str) -> None:
        self.start(name, [*WORKER, "--hostname", f"{name}@%h"])

    def start_beat(self, name: str) -> None:
        self.start(name, [*BEAT, str(self.data / "run" / name)])

    def processes(self, name: str) -> list[psutil.Process]:
        try:
            main = psutil.Process(self.running[name].pid)
            return [main, *main.children(recursive=True)]
        except psutil.NoSuchProcess:
            return []

    def kill(self, name: str) -> None:
        """Kill a process and its group at once, as the kernel does when memory is short."""
        os.killpg(self.running[name].pid, signal.SIGKILL)
        self.running[name].wait()

    def start_again(self) -> None:
        """Start again whatever has ended, as the launcher does."""
        begin = {"worker": self.start_worker, "beat": self.start_beat}
        for name in [name for name, process in self.running.items() if process.poll() is not None]:
            if name == "broker":
                self.start_broker()
            else:
                begin[name.rstrip("0123456789")](name)

    def lose_the_broker(self, *, away_s: float) -> None:
        """Kill the broker and delete its data."""
        self.kill("broker")
        shutil.rmtree(self.data / "broker")
        time.sleep(away_s)
        self.start_broker()

    def end(self, name: str, *, at_most_s: float = 30) -> int:
        """Ask a process to stop, as the launcher does."""
        self.running[name].terminate()
        return self.running[name].wait(at_most_s)

    def end_all(self) -> None:
        for process in self.running.values():
            try:
                os.killpg(process.pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        for process in self.running.values():
            process.wait()


@contextmanager
def fleet(data: Path, **env: str) -> Iterator[Fleet]:
    """Start a broker and make a database with its tables; the test starts workers and beats."""
    ships = Fleet(data, **env)
    try:
        ships.start_broker()
        if "SHOP_DATABASE_URL" in env:
            ships.python("-c", TABLES)
        else:
            (data / "shop.sqlite3").write_bytes(_database())
            (data / "shop.sqlite3").chmod(0o600)
        yield ships
    finally:
        ships.end_all()
