"""The running service: broker, then tables, then web, worker and beat; watched until asked to stop."""

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import NoReturn

from shop import env
from shop.launch import broker, folder, network
from shop.launch.processes import MARK, AlreadyRunning, Child, Hold, clear_up, say

# The warning is about pickled tasks; these are JSON, and in a container everything is root.
NO_ROOT_WARNING = "ignore:You're running the worker with superuser"
CELERY = [sys.executable, "-W", NO_ROOT_WARNING, "-m", "celery", "--quiet", "--app"]
ALONE = ["--without-gossip", "--without-mingle", "--without-heartbeat"]  # there is one worker to talk to
POOL = ["--pool", "threads", "--concurrency", "2"]  # printing, the heavy work, has a separate process
WORKER = [*CELERY, "shop.celery", "--skip-checks", "worker", *POOL, "--loglevel", "WARNING", *ALONE]
BEAT = [sys.executable, "-m", "shop.beat"]


ALREADY_SAID = 2
"""The exit code of a set-up that has printed why it ended."""


class Stop(Exception):
    """Asked to end, or unable to go on; the text says why, and is empty where nothing is to be said."""

    def __init__(self, says: str, *, code: int = 0) -> None:
        super().__init__(says)
        self.code = code or int(bool(says))


class Service:
    def __init__(self, *, host: str, port: int, demo: bool, empty: bool = False) -> None:
        self.host, self.port = host, port
        self.set_up = [*(["--demo"] if demo else []), *(["--empty"] if empty else [])]
        self.data = env.data_dir(os.environ)
        self.address = network.address(host, port)
        self.env = {
            "SHOP_PUBLIC_URL": self.address,
            "SHOP_HOSTS": ",".join(network.names(host)),
            "MALLOC_ARENA_MAX": "1",  # a heap for each thread is 20 MB of a web process (glibc)
            "MALLOC_TRIM_THRESHOLD_": "65536",  # give back what is free, 12 MB of the service (glibc)
            "MALLOC_MMAP_THRESHOLD_": "65536",
            **{name: value for name, value in os.environ.items() if value},
            "DJANGO_SETTINGS_MODULE": "shop.settings",
            "SHOP_DATA_DIR": str(self.data),
            MARK: str(self.data),
        }
        self.running: dict[str, Child] = {}
        self.broker_watch: broker.Watch | None = None
        self.signals, self.recorded = 0, True

    def run(self) -> int:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self.count_signal)
        os.umask(env.PRIVATE)
        folder.make(self.data)
        try:
            hold = Hold(self.data / "run")
        except AlreadyRunning as other:
            print(f"Already running {other}", file=sys.stderr)
            return 1
        try:
            self.close_folder()
            if cleared := clear_up(self.data, recorded=hold.recorded()):
                say(f"Cleared up {cleared} processes left by an earlier run")
            self.start_all(hold)
            self.watch(hold)
        except Stop as reason:
            if str(reason):
                print(reason, file=sys.stderr)
            return reason.code
        finally:
            self.stop_all()
            hold.release()

    def close_folder(self) -> None:
        """Close files of older versions, which every account of the machine could read."""
        database = env.sqlite_file(os.environ, self.data)
        beside = [Path(f"{database}{end}") for end in ("", "-wal", "-shm")] if database else []
        if count := folder.close(self.data, *beside):
            entries = "1 file or folder" if count == 1 else f"{count} files and folders"
            say(f"Closed {entries} of {self.data} that other accounts of this machine could open")

    def count_signal(self, number: int, frame: FrameType | None) -> None:
        self.signals += 1

    def pause(self, seconds: float) -> None:
        if self.signals:
            raise Stop("")
        time.sleep(seconds)

    def start_all(self, hold: Hold) -> None:
        if problem := network.cannot_listen(self.host, self.port):
            raise Stop(f"Cannot listen on {self.address}: {problem}. Choose another with --host or --port.")
        if "SHOP_REDIS_URL" not in self.env:
            self.start("broker", broker.command(self.data))
            self.until(lambda: broker.answers(self.data), "broker", at_most_s=60)
            self.broker_watch = broker.Watch(self.data)
        self.prepare()
        self.start("web", self.web_command())
        self.until(lambda: network.serves(self.host, self.port), "web", at_most_s=60)
        self.start("worker", WORKER)
        self.start("beat", BEAT)
        self.record(hold)
        say(f"Running at {self.address}  (Ctrl-C ends it)")

    def start(self, name: str, command: list[str]) -> None:
        self.running[name] = Child(name=name, command=command, env=self.env)
        self.running[name].start()

    def prepare(self) -> None:
        self.start("set-up", [sys.executable, "-m", "shop.launch.prepare", *self.set_up])
        while (code := self.running["set-up"].returncode()) is None:
            self.pause(0.02)
        del self.running["set-up"]
        if code == ALREADY_SAID:
            raise Stop("", code=1)
        if code:
            raise Stop(f"Not started: the set-up ended with exit code {code}, see above.")

    def web_command(self) -> list[str]:
        # Two processes serve the most pages a second on a small machine. Bodies wait without a thread
        # (``shop.asgi``), so the number of connections bounds them, not that of threads.
        options = {"interface": "asginl", "host": self.host, "port": str(self.port), "workers": "2"}
        options |= {"http1-header-read-timeout": "10000", "backlog": "4096", "backpressure": "4096"}
        options |= {"workers-kill-timeout": "5", "log-level": "warning"}
        words = [word for name, value in options.items() for word in (f"--{name}", value)]
        flags = ["--respawn-failed-workers", "--no-ws"]
        return [sys.executable, "-m", "granian", *words, *flags, "shop.asgi:application"]

    def until(self, ready: Callable[[], bool], name: str, *, at_most_s: float) -> None:
        limit = time.monotonic() + at_most_s
        while not ready():
            self.pause(0.02)
            if self.running[name].returncode() is not None or time.monotonic() > limit:
                raise Stop(f"Not started: the {name} does not come up; see above and {self.data / 'log'}.")

    def watch(self, hold: Hold) -> NoReturn:
        while True:
            self.pause(0.2)
            self.end_silent_broker()
            if any([child.keep_alive() for child in self.running.values()]) or not self.recorded:
                self.record(hold)

    def record(self, hold: Hold) -> None:
        """Record who runs; on a full disk, once there is room."""
        self.recorded = hold.write(address=self.address, children=list(self.running.values()))

    def end_silent_broker(self) -> None:
        """Kill a broker that hangs or has lost its socket, so that it is restarted like a dead one."""
        child = self.running.get("broker")
        if self.broker_watch is None or child is None or child.returncode() is not None:
            return
        if self.broker_watch.is_silent(since=child.started_at):
            say("The broker does not answer; killing it")
            child.kill_group()
            self.broker_watch.heard_at = time.monotonic()

    def stop_all(self) -> None:
        """Stop what takes requests first, what it depends on last. A second signal shortens the wait."""
        for names in ({"web", "set-up"}, {"beat", "worker"}, {"broker"}):
            together = [child for name, child in self.running.items() if name in names]
            for child in together:
                child.ask_to_stop()
            for child in together:
                child.stop(hurry=lambda: self.signals > 1)
