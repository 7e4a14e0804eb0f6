"""Rows that a rebuild makes and changes: kept in memory, written together for many events.

A statement that names a table finds every row of it written, because ``before`` runs ahead of each.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.db import connections

from jobs.models import Commission, Piece, Stage, Wait
from jobs.models.bases import State

Steps = dict[int, str]
"""The steps of a stage's waits that are not void, by the key of the wait."""


class Batch:
    """New rows and changed stages and commissions; each is written once for many events."""

    def __init__(self) -> None:
        self._fresh: dict[type[State], dict[int, State]] = defaultdict(dict)
        self._commissions: dict[str, dict[str, Any]] = {}
        self._keys: dict[tuple[type[State], str], int] = {}
        self._routes: dict[str, dict[str, Stage]] = {}
        self._read: dict[int, Stage] = {}
        self._changed: dict[int, set[str]] = defaultdict(set)
        self._waits: dict[int, Steps] = {}

    def before(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        """Write the rows of the tables that a statement names, then run it."""
        for model in [each for each in self._fresh if f'"{each._meta.db_table}"' in sql]:
            self._insert(model)
        if self._commissions and f'"{Commission._meta.db_table}"' in sql:
            self._write_commissions()
        if self._changed and f'"{Stage._meta.db_table}"' in sql:
            self._write_stages()
        return execute(sql, params, many, context)

    @property
    def size(self) -> int:
        """Return how many new rows are not written yet."""
        return sum(len(rows) for rows in self._fresh.values())

    def add(self, rows: Iterable[State]) -> None:
        """Take new rows."""
        for row in rows:
            self._fresh[type(row)][row.id] = row
            if isinstance(row, Commission | Piece):
                self._keys[type(row), row.number] = row.id

    def update(self, model: type[State], key: int, fields: dict[str, Any]) -> bool:
        """Change a row that is not written yet; return False for any other."""
        row = self._fresh[model].get(key) if model in self._fresh else None
        for name, value in fields.items() if row else ():
            setattr(row, name, value)
        return row is not None

    def key(self, model: type[Commission] | type[Piece], number: str) -> int:
        """Return the key of a commission or piece."""
        if (model, number) not in self._keys:
            found = model._default_manager.values_list("id", flat=True)
            self._keys[model, number] = found.get(number=number)
        return self._keys[model, number]

    def change_commission(self, number: str, fields: dict[str, Any]) -> None:
        """Change a commission that is not written yet; note the changed fields of any other."""
        if not self.update(Commission, self._keys.get((Commission, number), 0), fields):
            self._commissions.setdefault(number, {}).update(fields)

    def lay(self, number: str, stages: Iterable[Stage]) -> None:
        """Take the new route of a piece, which has no waits."""
        self._routes[number] = {stage.key: stage for stage in stages}
        for stage in self._routes[number].values():
            self._read[stage.id], self._waits[stage.id] = stage, {}

    def stage(self, number: str, key: str) -> Stage:
        """Return a stage of a piece."""
        if number not in self._routes:
            self.lay(number, Stage.objects.defer("spec").filter(piece__number=number))
            waits = Wait.objects.filter(stage__piece__number=number).exclude(step=Wait.Step.VOID)
            for stage_id, wait_id, step in waits.values_list("stage_id", "id", "step"):
                self._waits[stage_id][wait_id] = step
        return self._routes[number][key]

    def change(self, row: Stage, fields: Collection[str]) -> None:
        """Note a change of a row that this batch holds; write that of any other row."""
        if self._read.get(row.id) is not row:
            row.save(update_fields=fields)
        elif row.id not in self._fresh.get(Stage, {}):
            self._changed[row.id] |= set(fields)

    def waits(self, row: Stage) -> Steps | None:
        """Return the steps of a stage's waits; None for a row that this batch does not hold."""
        return self._waits.get(row.id) if self._read.get(row.id) is row else None

    def forget(self, number: str) -> None:
        """Drop the route of a piece, which statements are about to change; its changes are written."""
        self._write_stages()
        for row in self._routes.pop(number, {}).values():
            del self._read[row.id], self._waits[row.id]

    def write(self) -> None:
        """Write every row and start again with none."""
        for model in list(self._fresh):
            self._insert(model)
        self._write_stages()
        self._write_commissions()
        for held in (self._keys, self._routes, self._read, self._waits):
            held.clear()

    def _insert(self, model: type[State]) -> None:
        model._default_manager.bulk_create(self._fresh.pop(model).values())

    def _write_stages(self) -> None:
        changed, self._changed = self._changed, defaultdict(set)
        for key, fields in changed.items():
            self._read[key].save(update_fields=fields)

    def _write_commissions(self) -> None:
        changed, self._commissions = self._commissions, {}
        for number, fields in changed.items():
            Commission.objects.filter(number=number).update(**fields)


_batch: ContextVar[Batch | None] = ContextVar("batch", default=None)


@contextmanager
def batching(alias: str) -> Iterator[Batch]:
    """Open a batch of rows for this database; its user writes the batch from time to time."""
    batch = Batch()
    token = _batch.set(batch)
    try:
        with connections[alias].execute_wrapper(batch.before):
            yield batch
            batch.write()
    finally:
        _batch.reset(token)


def open_batch() -> Batch | None:
    """Return the open batch; None in a command."""
    return _batch.get()
