"""A service really started with ``manage.py start``, in a data folder and on a port for one test."""

import http.client
import os
import queue
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import psutil

from shop.env import BASE_DIR

PATIENCE_S = 90  # the first start of a checkout may install


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def clean_env(data: Path, **more: str) -> dict[str, str]:
    ours = {name for name in os.environ if name.startswith(("SHOP_", "DJANGO_"))}
    kept = {name: value for name, value in os.environ.items() if name not in ours}
    return {**kept, "SHOP_DATA_DIR": str(data), **more}


class Running:
    """The launcher's process, what it printed, and everything below it."""

    def __init__(
        self,
        data: Path,
        *arguments: str,
        port: int | None = None,
        root: Path = BASE_DIR,
        python: str = sys.executable,
        **env: str,
    ) -> None:
        self.port = port or free_port()
        command = [python, str(root / "manage.py"), "start", "--port", str(self.port), *arguments]
        self.launcher = subprocess.Popen(
            command, env=clean_env(data, **env), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        self.lines: list[str] = []
        self.fresh: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self.listen, daemon=True).start()

    def listen(self) -> None:
        assert self.launcher.stdout is not None
        for line in self.launcher.stdout:
            self.lines.append(line)
            self.fresh.put(line)

    @property
    def said(self) -> str:
        return "".join(self.lines)

    def wait_for(self, words: str, *, at_most_s: float = PATIENCE_S) -> str:
        """Return the next line that holds these words."""
        until = time.monotonic() + at_most_s
        while True:
            try:
                line = self.fresh.get(timeout=max(0.01, until - time.monotonic()))
            except queue.Empty:
                raise AssertionError(f"{words!r} was not said; this was: {self.said}") from None
            if words in line:
                return line

    def listen_afresh(self) -> None:
        """Let ``wait_for`` find nothing that was printed before."""
        while not self.fresh.empty():
            self.fresh.get()

    def up(self) -> "Running":
        self.wait_for("Running at")
        return self

    def get(self, path: str = "/sign-in/") -> int:
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)) as connection:
            connection.request("GET", path)
            return connection.getresponse().status

    def answers(self) -> bool:
        try:
            return self.get() == 200
        except OSError:
            return False

    def tree(self) -> list[psutil.Process]:
        return list(psutil.Process(self.launcher.pid).children(recursive=True))

    def part(self, word: str) -> psutil.Process:
        """Return the child whose command line holds this word."""
        children = psutil.Process(self.launcher.pid).children()
        return next(child for child in children if word in child.cmdline())

    def end(self, number: int = signal.SIGTERM) -> int:
        self.launcher.send_signal(number)
        return self.launcher.wait(30)


@contextmanager
def running(data: Path, *arguments: str, **options: object) -> Iterator[Running]:
    """Start a service for the block, and end it with all its children."""
    service = Running(data, *arguments, **options)  # type: ignore[arg-type]
    try:
        yield service.up()
    finally:
        if service.launcher.poll() is None:
            service.end()


def eventually(holds: Callable[[], bool], *, at_most_s: float = 20) -> bool:
    """Return whether it holds in time; the longer it takes, the less often it is asked."""
    until, pause_s = time.monotonic() + at_most_s, 0.05
    while not holds():
        if time.monotonic() > until:
            return False
        time.sleep(pause_s)
        pause_s = min(1.1 * pause_s, 0.5)
    return True


def alive(processes: list[psutil.Process]) -> list[psutil.Process]:
    return [p for p in processes if p.is_running() and p.status() != psutil.STATUS_ZOMBIE]
