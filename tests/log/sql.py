"""Plain SQL past the models and the triggers, as somebody with the database open could run."""

from collections.abc import Sequence
from typing import Any

from django.db import connection
from django.db.models import Model

from tests.flush import no_triggers


def run(statement: str, parameters: Sequence[Any] = ()) -> int:
    """Run one statement; return how many rows it touched."""
    with connection.cursor() as cursor:
        cursor.execute(statement, parameters)
        return int(cursor.rowcount)


def tamper(statement: str, parameters: Sequence[Any] = ()) -> None:
    """Run one statement without the triggers; it must touch something."""
    with no_triggers(connection):
        assert run(statement, parameters) > 0


def set_column(model: type[Model], key: Any, column: str, value: Any) -> None:
    """Change one column of one row by SQL."""
    table, pk = model._meta.db_table, model._meta.pk.column
    tamper(f'UPDATE {table} SET "{column}" = %s WHERE "{pk}" = %s', [value, key])
