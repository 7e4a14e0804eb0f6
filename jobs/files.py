"""Files by the SHA-256 of their bytes: written once, never changed."""

import hashlib
import os
import secrets
from pathlib import Path

from django.conf import settings

from jobs.errors import LogBroken, NotFound


def folder() -> Path:
    return Path(settings.FILES_DIR)


def store(content: bytes) -> str:
    """Keep these bytes; their SHA-256. The file appears whole or not at all."""
    name = hashlib.sha256(content).hexdigest()
    path = folder() / name
    if not path.exists():
        fresh = folder() / f".{secrets.token_hex(8)}"
        with fresh.open("wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        fresh.replace(path)
    return name


def load(name: str) -> bytes:
    """The bytes of this hash, checked."""
    path = folder() / name
    if not path.is_file():
        raise NotFound("this file is missing", field="file", value=name)
    content = path.read_bytes()
    if hashlib.sha256(content).hexdigest() != name:
        raise LogBroken(f"file {name} was altered")
    return content


def all_files() -> list[Path]:
    return sorted(p for p in folder().iterdir() if p.is_file() and not p.name.startswith("."))
