"""Damage of a SQLite file: found by a nightly check or a failing query, noted beside it, shown by health.

The note is a file, because the damaged database may refuse a write. A check that finds nothing deletes it.
"""

import logging
from contextlib import suppress
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection

WORDS = ("malformed", "not a database")
"""SQLite's words for pages of its file that make no sense."""
log = logging.getLogger(__name__)


def is_damage(raised: BaseException) -> bool:
    return isinstance(raised, DatabaseError) and any(words in str(raised) for words in WORDS)


def note(words: str) -> str:
    """Store the damage in one line, for health and the engine room; return it."""
    line = " ".join(words.split())[:200]
    if line != noted():
        log.info("the database is damaged: %s", line)  # a start reports damage anyway
        with suppress(OSError):
            _file().write_text(line, "utf-8")
    return line


def noted() -> str:
    """Return the noted damage; empty where there is none."""
    try:
        return _file().read_text("utf-8")
    except OSError:
        return ""


def check() -> str:
    """Check every page of a SQLite file; note and return the damage, empty where there is none."""
    if connection.vendor != "sqlite":
        return ""
    try:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            found = str(cursor.fetchone()[0])
    except DatabaseError as raised:
        if not is_damage(raised):
            raise
        found = str(raised)
    if found == "ok":
        _file().unlink(missing_ok=True)
        return ""
    return note(found)


def _file() -> Path:
    return Path(settings.DATA_DIR) / "run" / "database-damaged"
