"""A scratch database to project the log into, for comparison with the live tables."""

import contextlib
import tempfile
from collections.abc import Iterator
from contextvars import ContextVar
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper
from django.db.models import Model

from jobs.models.bases import Derived, State

ALIAS = "scratch"
_folding: ContextVar[str | None] = ContextVar("folding", default=None)


def state_models() -> list[type[State]]:
    """Return every state table, referenced ones first."""
    models = [m for m in _tables() if issubclass(m, State)]
    ordered: list[type[State]] = []
    while models:
        for model in list(models):
            needs = {f.related_model for f in model._meta.concrete_fields if f.is_relation}
            if not needs & set(models) - {model}:
                ordered.append(model)
                models.remove(model)
    return ordered


def _tables() -> Iterator[type[Model]]:
    return apps.get_app_config("jobs").get_models()


class FoldRouter:
    """Sends state tables to the scratch database while this context projects into it."""

    def db_for_read(self, model: type, **hints: Any) -> str | None:
        return _folding.get() if issubclass(model, State) else None

    db_for_write = db_for_read

    def allow_relation(self, one: Any, other: Any, **hints: Any) -> bool | None:
        return True

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool | None:
        return False if db == ALIAS else None


@contextlib.contextmanager
def scratch_database() -> Iterator[str]:
    """Open a temporary SQLite file with empty state tables; inside, they replace the live ones.

    The connection belongs to this thread and is not among the configured databases.
    """
    with tempfile.TemporaryDirectory(prefix="fold-") as folder:
        connection = DatabaseWrapper(
            {
                **connections["default"].settings_dict,
                "ENGINE": "django.db.backends.sqlite3",
                "NAME": str(Path(folder) / "state.sqlite3"),
                "OPTIONS": {"init_command": "PRAGMA journal_mode=MEMORY; PRAGMA synchronous=OFF"},
                "CONN_MAX_AGE": 0,
            },
            alias=ALIAS,
        )
        connections[ALIAS] = connection
        token = _folding.set(ALIAS)
        try:
            with connection.schema_editor() as editor:
                for model in (*state_models(), *(m for m in _tables() if issubclass(m, Derived))):
                    editor.create_model(model)
            yield ALIAS
        finally:
            _folding.reset(token)
            connection.close()
            del connections[ALIAS]
