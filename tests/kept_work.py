"""Work that many tests begin with: done once in a process, then its rows are written directly.

This needs the same rows before, the same call at the same moment, the same settings, as many rolls of the
dice, and SQLite. Then the rows are those that the commands would write again.
"""

import hashlib
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar
from unittest.mock import patch

from django.conf import UserSettingsHolder, settings
from django.db import connection, transaction

from jobs.core import blobs
from tests.chance import dice

T = TypeVar("T")
Row = tuple[Any, ...]
State = dict[str, dict[Any, Row]]
"""The rows of each table by their key."""
OUTSIDE = {"jobs_token"}
"""Holds access tokens, which no command reads."""
PLACES = {"DATA_DIR", "FILES_DIR", "EMAIL_FILE_PATH"}
SECRET = {"password", "last_login"}


@dataclass(frozen=True, kw_only=True)
class Step:
    """The rows that one call changes, what it returns, and how often the dice were rolled after it."""

    files: list[bytes]
    put: dict[str, list[Row]]
    gone: dict[str, list[Row]]
    result: Any
    rolls: int


_steps: dict[tuple[str, Hashable], Step] = {}


def once(key: Hashable, do: Callable[[], T]) -> T:
    """Do it, or write the rows that it changed the first time. ``key`` names the call; its result is kept."""
    if connection.vendor != "sqlite":
        return do()
    with transaction.atomic():
        return _once(key, do)


def _once(key: Hashable, do: Callable[[], T]) -> T:
    before = _state()
    mark = _mark(before)
    if step := _steps.get((mark, key)):
        _write(step)
        dice.rolls = step.rolls
        return step.result  # type: ignore[no-any-return]
    with _stored() as stored:
        result = do()
    left = [blobs.load(name) for name in sorted(stored) if not blobs.trouble(name)]
    _steps[mark, key] = _step(before, _state(), result, left)
    return result


@contextmanager
def _stored() -> Iterator[set[str]]:
    """Yield the names of files stored during the block, whether they were there before or not."""
    names: set[str] = set()
    store = blobs.store

    def noted(content: bytes) -> str:
        names.add(name := store(content))
        return name

    with patch.object(blobs, "store", noted):
        yield names


@cache
def _columns() -> dict[str, list[str]]:
    """Return the columns of each table, its key first, quoted so that values stay as stored."""
    with connection.cursor() as cursor:
        names = [n for n in connection.introspection.table_names(cursor) if n.startswith("jobs_")]
        return {
            name: [
                f'"{column.name}"'
                for column in sorted(
                    connection.introspection.get_table_description(cursor, name), key=lambda c: not c.pk
                )
            ]
            for name in names
            if name not in OUTSIDE
        }


def _state() -> State:
    found = {}
    for name, columns in _columns().items():
        values = ", ".join(f"+{column}" for column in columns)
        rows = connection.connection.execute(f'SELECT {values} FROM "{name}" ORDER BY 1')
        found[name] = {row[0]: row for row in rows}
    return found


def _mark(state: State) -> str:
    secret = [n for n, column in enumerate(_columns()["jobs_person"]) if column.strip('"') in SECRET]
    people = [[v for n, v in enumerate(row) if n not in secret] for row in state["jobs_person"].values()]
    rest = [(name, list(rows.values())) for name, rows in state.items() if name != "jobs_person" and rows]
    return hashlib.sha256(repr((people, rest, _overridden(), dice.lot, dice.rolls)).encode()).hexdigest()


def _overridden() -> dict[str, Any]:
    """Return the settings that this test has changed, except those of where files lie."""
    found: dict[str, Any] = {}
    holder = settings._wrapped
    while isinstance(holder, UserSettingsHolder):
        found = {name: value for name, value in vars(holder).items() if name.isupper()} | found
        holder = holder.default_settings
    return {name: found[name] for name in sorted(found) if name not in PLACES}


def _step(before: State, after: State, result: Any, made: list[bytes]) -> Step:
    return Step(
        files=made,
        put={t: new for t in after if (new := [r for k, r in after[t].items() if before[t].get(k) != r])},
        gone={t: old for t in before if (old := [(k,) for k in before[t] if k not in after[t]])},
        result=result,
        rolls=dice.rolls,
    )


def _write(step: Step) -> None:
    for content in step.files:
        blobs.store(content)
    bare, columns = connection.connection, _columns()
    for name, keys in step.gone.items():
        bare.executemany(f'DELETE FROM "{name}" WHERE {columns[name][0]} = ?', keys)
    for name, rows in step.put.items():
        marks = ", ".join("?" * len(columns[name]))
        bare.executemany(
            f'INSERT OR REPLACE INTO "{name}" ({", ".join(columns[name])}) VALUES ({marks})', rows
        )
