"""A small real disk for a test: a file system in memory, mounted, filled and freed."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

BLOCK = 4096


@contextmanager
def disk(at: Path, options: str) -> Iterator[Path]:
    """Mount a file system with these options for the block, such as ``size=50m`` or ``ro``."""
    at.mkdir(parents=True, exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"mode=0700,{options}", "tmpfs", str(at)], check=True)
    try:
        yield at
    finally:
        subprocess.run(["umount", "--lazy", str(at)], check=True)


def fill(filler: Path, *, leave: int) -> None:
    """Fill this disk up to so many free bytes."""
    filler.touch()
    missing = shutil.disk_usage(filler.parent).free - leave
    with filler.open("r+b") as out:
        out.truncate(filler.stat().st_size + min(missing, 0))
        out.seek(0, os.SEEK_END)
        with suppress(OSError):  # another process may have taken the last of it
            for _ in range(max(missing, 0) // BLOCK):
                out.write(bytes(BLOCK))
                out.flush()
