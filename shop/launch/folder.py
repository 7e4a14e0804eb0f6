"""The data folder before anything runs in it: writable, and readable by the service's account alone."""

import errno
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from shop.env import PRIVATE, BadSetting

NAMES = (
    "broker", "exports", "files", "locale", "log", "mail", "routes", "run", "secret_key*", "shop.sqlite3*",
    "thumbnails",
)  # fmt: skip
"""What the service writes into its data folder."""
ROOM = 1_000_000
"""Bytes that a start needs before anything is kept."""
WHY = {
    errno.EROFS: "the disk is mounted read-only. Mount it for writing, or choose another folder",
    errno.ENOSPC: "the disk is full. Free some space, then start again",
    errno.EDQUOT: "the disk quota is used up. Free some space, then start again",
    errno.EACCES: "this account may not write there. Give it the folder, or choose another",
}


def make(data: Path) -> None:
    """Make the data folder, and refuse one that cannot be written."""
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=data) as probe:
            probe.write(bytes(ROOM))
    except OSError as problem:
        raise cannot_write(data, problem) from None


def cannot_write(data: Path, problem: OSError) -> BadSetting:
    """Return the refusal that says why nothing can be written here and what to do."""
    why = WHY.get(problem.errno or 0, f"{problem.strerror or problem}. Choose another folder")
    return BadSetting("SHOP_DATA_DIR", f"cannot write to {data}: {why}")


def close(data: Path, *more: Path) -> int:
    """Take every permission from other accounts of this machine; return how many entries were open."""
    return sum(closed(path) for path in (*entries(data), *more))


def entries(data: Path) -> Iterator[Path]:
    """Yield the folder and what the service wrote into it; a folder shared with others is left out."""
    if not shared(data):
        yield data
    for name in NAMES:
        for top in data.glob(name):
            yield top
            if top.is_dir() and not top.is_symlink():
                yield from top.rglob("*")


def shared(data: Path) -> bool:
    return bool(data.stat().st_mode & stat.S_ISVTX) or data in (Path(data.anchor), Path.home())


def closed(path: Path) -> bool:
    """Close one file or folder; return whether it was open to others."""
    try:
        mode = path.lstat().st_mode
        if stat.S_ISLNK(mode) or not mode & PRIVATE:
            return False
        path.chmod(stat.S_IMODE(mode) & ~PRIVATE)
    except OSError:  # gone meanwhile, or of another account
        return False
    return True
