"""What a command leaves in memory for the answer to its request, beside what the database says."""

from contextvars import copy_context
from importlib import import_module
from inspect import isfunction, unwrap
from typing import Any

from django.db.models import Model

from jobs.core import command_cache
from jobs.core.command_cache import recall_all
from jobs.log.projections import rows
from jobs.models import Stage, Wait


def check_held() -> int:
    """Refuse a held row or value that differs from a fresh one; return how many there were."""
    held = command_cache._memory.get() or {}
    laid, changed = list(recall_all(rows.LAID)), list(recall_all(rows.CHANGED))
    assert changed == [], "changes of a commission were not written"
    for each in laid:
        check_route(each)
    for row in [*recall_all(rows.COMMISSION), *recall_all(rows.OFFER)]:
        check_row(row)
    values = [key for key in held if "." in key[0]]
    for name, args, kwargs in values:
        module, _, function = name.rpartition(".")
        read = getattr(import_module(module), function).__wrapped__
        again = copy_context().run(afresh, read, args, dict(kwargs))
        assert deep(held[name, args, kwargs]) == deep(again), f"{name}{args} is held otherwise"
    return len(laid) + len(values)


def afresh(read: Any, args: Any, kwargs: Any) -> Any:
    command_cache._memory.set(None)
    return read(*args, **kwargs)


def check_route(laid: rows.Laid) -> None:
    """Compare a piece, its stages in order and its running waits, the oldest first."""
    for row in (laid.piece, laid.piece.commission, *laid.stages, *laid.waits):
        check_row(row)
    stages = Stage.objects.filter(piece=laid.piece.id).order_by("position")
    assert [stage.id for stage in laid.stages] == list(stages.values_list("id", flat=True))
    waits = Wait.objects.filter(stage__piece=laid.piece.id, step=Wait.Step.RUNNING).order_by("since", "id")
    assert [wait.id for wait in laid.waits] == list(waits.values_list("id", flat=True))


def check_row(row: Model) -> None:
    """Compare every column of a row that was read."""
    fresh = type(row)._default_manager.get(pk=row.pk)
    differ = [name for name, value in columns(row).items() if value != getattr(fresh, name)]
    assert differ == [], f"{row!r} is held with other {differ}"


def columns(row: Model) -> dict[str, Any]:
    """Return the columns of a row without those that were not read."""
    return {
        field.attname: vars(row)[field.attname]
        for field in row._meta.concrete_fields
        if field.attname in vars(row)
    }


def deep(value: Any) -> Any:
    """Return a value that compares rows and objects by all that they hold, functions by what they return."""
    if isinstance(value, Model):
        return type(value), columns(value)
    if type(value).__module__.startswith(("jobs.", "calcs.")) and hasattr(value, "__dict__"):
        return type(value), {name: deep(each) for name, each in vars(value).items()}
    if isinstance(value, dict):
        return {key: deep(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [deep(each) for each in value]
    return deep(value()) if isfunction(unwrap(value)) else value
