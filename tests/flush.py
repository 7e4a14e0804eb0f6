"""Lets a transactional test empty its tables although triggers keep the log append-only."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.test import TransactionTestCase


def allow_flush() -> None:
    """Drop the triggers for the flush at the end of a transactional test, and restore them."""
    flush = TransactionTestCase._fixture_teardown  # type: ignore[attr-defined]

    def teardown(test: Any) -> None:
        with ExitStack() as without:
            for alias in test._databases_names(include_mirrors=False):
                without.enter_context(no_triggers(connections[alias]))
            flush(test)

    TransactionTestCase._fixture_teardown = teardown  # type: ignore[attr-defined]


@contextmanager
def no_triggers(connection: BaseDatabaseWrapper) -> Iterator[None]:
    with {"sqlite": dropped, "postgresql": disabled}[connection.vendor](connection):
        yield


@contextmanager
def dropped(connection: BaseDatabaseWrapper) -> Iterator[None]:
    found = rows(connection, "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    run(connection, [f'DROP TRIGGER "{name}"' for name, _ in found])
    yield
    back = {name for (name,) in rows(connection, "SELECT name FROM sqlite_master WHERE type = 'trigger'")}
    run(connection, [sql for name, sql in found if name not in back])


@contextmanager
def disabled(connection: BaseDatabaseWrapper) -> Iterator[None]:
    found = rows(connection, "SELECT DISTINCT tgrelid::regclass::text FROM pg_trigger WHERE NOT tgisinternal")
    run(connection, [f"ALTER TABLE {table} DISABLE TRIGGER USER" for (table,) in found])
    yield
    run(connection, [f"ALTER TABLE {table} ENABLE TRIGGER USER" for (table,) in found])


def rows(connection: BaseDatabaseWrapper, sql: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return list(cursor.fetchall())


def run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
