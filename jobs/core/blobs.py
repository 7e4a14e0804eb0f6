"""Files by the SHA-256 of their bytes: written once, never changed."""

import hashlib
import os
import secrets
from pathlib import Path

from django.conf import settings

from jobs.core.errors import FileDamaged


def folder() -> Path:
    return Path(settings.FILES_DIR)


def store(content: bytes) -> str:
    """Store these bytes; return their SHA-256."""
    name = hashlib.sha256(content).hexdigest()
    path = folder() / name
    if not path.exists():
        write_whole(path, content)
    return name


def write_whole(path: Path, content: bytes) -> None:
    """Write a file that appears whole or not at all; a failed write, as on a full disk, leaves nothing."""
    fresh = path.parent / f".{secrets.token_hex(8)}"
    try:
        with fresh.open("wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)


def load(name: str, *, of: str = "") -> bytes:
    """Return the bytes of this hash, checked; ``of`` names the file in a refusal, as a paper's number."""
    content, trouble = _read(name)
    if trouble:
        raise FileDamaged(
            f"the file of {of} {trouble}; copy files/{name} back from a backup or an export"
            if of
            else f"file {name} {trouble}; copy it back from a backup or an export",
            field="file",
        )
    return content


def trouble(name: str) -> str:
    """Return what is wrong with a file, such as "is missing"; empty where nothing is."""
    return _read(name)[1]


def _read(name: str) -> tuple[bytes, str]:
    try:
        content = (folder() / name).read_bytes()
    except FileNotFoundError:
        return b"", "is missing"
    except OSError as problem:
        return b"", f"cannot be read ({problem.strerror})"
    return content, "" if hashlib.sha256(content).hexdigest() == name else "was altered"


def all_files() -> list[Path]:
    return sorted(p for p in folder().iterdir() if p.is_file() and not p.name.startswith("."))
