"""Triggers that keep the log append-only, on both databases.

Altering a field makes Django rebuild a SQLite table, and its triggers vanish. So every migrate creates them
again, and a system check looks for them.
"""

from collections.abc import Sequence
from typing import Any

from django.core.checks import Error, Tags
from django.core.checks import register as register_check
from django.db import connections
from django.db.models.signals import post_migrate

TABLE = "jobs_event"
NAMES = {
    "sqlite": ("event_no_update", "event_no_delete"),
    "postgresql": ("event_no_change", "event_no_truncate"),
}
SQL = {
    "sqlite": (
        f"CREATE TRIGGER IF NOT EXISTS event_no_update BEFORE UPDATE ON {TABLE} "
        "BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END",
        f"CREATE TRIGGER IF NOT EXISTS event_no_delete BEFORE DELETE ON {TABLE} "
        "BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END",
    ),
    "postgresql": (
        "CREATE OR REPLACE FUNCTION event_append_only() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION 'the log is append-only' USING ERRCODE = 'integrity_constraint_violation'; "
        "END $$",
        f"CREATE OR REPLACE TRIGGER event_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
        "FOR EACH ROW EXECUTE FUNCTION event_append_only()",
        f"CREATE OR REPLACE TRIGGER event_no_truncate BEFORE TRUNCATE ON {TABLE} "
        "FOR EACH STATEMENT EXECUTE FUNCTION event_append_only()",
    ),
}
LOOK = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE tgrelid = %s::regclass AND tgenabled = 'O'",
}


def create(using: str) -> None:
    """Create the missing triggers."""
    with connections[using].cursor() as cursor:
        for statement in SQL[connections[using].vendor]:
            cursor.execute(statement)


def missing(using: str) -> set[str]:
    """Return the names of the missing triggers."""
    connection = connections[using]
    with connection.cursor() as cursor:
        cursor.execute(LOOK[connection.vendor], [TABLE])
        return set(NAMES[connection.vendor]) - {name for (name,) in cursor.fetchall()}


def _after_migrate(sender: Any, using: str, **kwargs: Any) -> None:
    if using == "default" and TABLE in connections[using].introspection.table_names():
        create(using)


def _check(databases: Sequence[str] | None = None, **kwargs: Any) -> list[Error]:
    if "default" not in (databases or ()) or TABLE not in connections["default"].introspection.table_names():
        return []
    return [
        Error(f"trigger {name} on {TABLE} is missing", hint="run manage.py migrate", id="jobs.E001")
        for name in sorted(missing("default"))
    ]


def register() -> None:
    """Connect the creation and the check of the triggers; the app calls this once when it is ready."""
    from django.apps import apps

    post_migrate.connect(_after_migrate, sender=apps.get_app_config("jobs"))
    register_check(_check, Tags.database)
