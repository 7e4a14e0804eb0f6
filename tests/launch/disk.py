"""A small real disk of a test's own: a file system in memory, mounted, filled and freed."""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def disk(at: Path, options: str) -> Iterator[Path]:
    """Mount a file system with these options for the block, such as ``size=50m`` or ``ro``."""
    at.mkdir(parents=True, exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"mode=0700,{options}", "tmpfs", str(at)], check=True)
    try:
        yield at
    finally:
        subprocess.run(["umount", "--lazy", str(at)], check=True)
