"""The process tree of a running service: started, watched, stopped, and found again after a hard kill."""

import fcntl
import json
import os
import signal
import subprocess
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import psutil

from shop.env import BASE_DIR

MARK = "SHOP_LAUNCHED_FOR"  # in the environment of everything started here: the data folder it serves
FIRST_PAUSE_S, LONGEST_PAUSE_S = 1.0, 30.0


class AlreadyRunning(Exception):
    """Another launcher holds the data folder."""


class Child:
    """One part of the service, in a separate session so that Ctrl-C reaches the launcher alone."""

    def __init__(self, *, name: str, command: list[str], env: Mapping[str, str], grace_s: float = 10) -> None:
        self.name, self.command, self.env, self.grace_s = name, command, env, grace_s
        self.process: subprocess.Popen[bytes] | None = None
        self.pause_s = FIRST_PAUSE_S
        self.restart_at: float | None = None
        self.started_at = 0.0

    def start(self) -> None:
        self.process = subprocess.Popen(
            self.command, env=self.env, cwd=BASE_DIR, stdin=subprocess.DEVNULL, start_new_session=True
        )
        self.started_at, self.restart_at = time.monotonic(), None

    def returncode(self) -> int | None:
        return self.process.poll() if self.process else None

    def keep_alive(self) -> bool:
        """Restart a process that has died, after a pause that doubles while it keeps dying.

        Return True if it has just been restarted.
        """
        now = time.monotonic()
        if self.restart_at is not None:
            if now < self.restart_at:
                return False
            try:
                self.start()
            except OSError as problem:  # out of memory or of processes
                self.put_off(problem.strerror or str(problem), now)
                return False
            say(f"The {self.name} runs again")
            return True
        code = self.returncode()
        if code is not None:
            self.note_end(code, now)
        return False

    def note_end(self, code: int, now: float) -> None:
        self.kill_group()
        if now - self.started_at > LONGEST_PAUSE_S:
            self.pause_s = FIRST_PAUSE_S
        self.put_off(ending(code), now)

    def put_off(self, why: str, now: float) -> None:
        self.restart_at = now + self.pause_s
        say(f"The {self.name} ended ({why}); starting it again in {self.pause_s:g} s")
        self.pause_s = min(self.pause_s * 2, LONGEST_PAUSE_S)

    def ask_to_stop(self) -> None:
        if self.process and self.returncode() is None:
            self.process.terminate()

    def stop(self, *, hurry: Callable[[], bool]) -> None:
        """Ask the process to stop, wait, then kill whatever is left of its group."""
        if self.process is None:
            return
        self.ask_to_stop()
        until = time.monotonic() + self.grace_s
        while self.returncode() is None:
            if hurry() or time.monotonic() > until:
                say(f"The {self.name} does not stop; killing it")
                break
            time.sleep(0.02)
        self.kill_group()
        self.process.wait()

    def kill_group(self) -> None:
        """Kill the group; its number is not reused while any process of it lives."""
        if self.process:
            try:
                os.killpg(self.process.pid, signal.SIGKILL)
            except (ProcessLookupError, PermissionError):
                return


def say(words: str) -> None:
    """Print for whoever started the service; ignore a full disk behind the output."""
    try:
        print(words, flush=True)
    except OSError:
        return


def ending(code: int) -> str:
    return f"signal {signal.Signals(-code).name}" if code < 0 else f"exit code {code}"


class Hold:
    """The one launcher of a data folder: a lock, and a record of who runs.

    The lock ends with the launcher, however it ends; its children may live on.
    """

    def __init__(self, folder: Path) -> None:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        self.record = folder / "processes.json"
        self.file = os.open(folder / "lock", os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(self.file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(self.file)
            raise AlreadyRunning(self.said()) from None

    def said(self) -> str:
        kept = self.read()
        return (
            f"at {kept['address']} (process {kept.get('launcher')})" if "address" in kept else "(not up yet)"
        )

    def read(self) -> dict[str, Any]:
        try:
            kept = json.loads(self.record.read_text())
        except (OSError, ValueError):
            return {}
        return kept if isinstance(kept, dict) else {}

    def write(self, *, address: str, children: list[Child]) -> bool:
        """Write the record whole or not at all; return whether it was written, which a full disk prevents."""
        running = [started(child.process.pid) for child in children if child.process]
        fresh = self.record.with_suffix(".new")
        record = {"launcher": os.getpid(), "address": address, "children": [r for r in running if r]}
        try:
            fresh.write_text(json.dumps(record))
            fresh.replace(self.record)
        except OSError:
            return False
        return True

    def recorded(self) -> set[tuple[int, float]]:
        try:
            return {(int(pid), float(since)) for pid, since in self.read()["children"]}
        except (KeyError, TypeError, ValueError):
            return set()

    def release(self) -> None:
        self.record.unlink(missing_ok=True)
        os.close(self.file)


def started(pid: int) -> tuple[int, float] | None:
    """Return a process by number and start time, None if it is gone: numbers are reused, the pair is not."""
    try:
        return pid, psutil.Process(pid).create_time()
    except psutil.Error:
        return None


def leftovers(data: Path, *, recorded: set[tuple[int, float]]) -> list[psutil.Process]:
    """Return the processes that an earlier launcher of this data folder started, and their children."""
    mine = {process.pid for process in psutil.Process().parents()} | {os.getpid()}
    found = []
    for process in psutil.process_iter():
        if process.pid in mine:
            continue
        try:
            identity = (process.pid, process.create_time())
            if identity in recorded or process.environ().get(MARK) == str(data):
                found.append(process)
        except psutil.Error:
            continue
    return found


def clear_up(data: Path, *, recorded: set[tuple[int, float]]) -> int:
    """End what a killed launcher left behind, by SIGTERM, then SIGKILL; return how many there were."""
    found = leftovers(data, recorded=recorded)
    for process in found:
        signal_one(process, signal.SIGTERM)
    _, alive = psutil.wait_procs(found, timeout=5)
    for process in {*alive, *leftovers(data, recorded=recorded)}:
        signal_one(process, signal.SIGKILL)
    psutil.wait_procs(alive, timeout=5)
    return len(found)


def signal_one(process: psutil.Process, number: signal.Signals) -> None:
    """Send a signal; psutil compares start times first, so a reused number is left alone."""
    try:
        process.send_signal(number)
    except psutil.Error:
        return
