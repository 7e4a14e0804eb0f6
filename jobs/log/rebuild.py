"""Rebuild the state tables from the log, or project the log into a scratch database and compare."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from heapq import merge
from itertools import groupby
from operator import itemgetter

from django.db import DEFAULT_DB_ALIAS, transaction

from jobs.log import projectors
from jobs.log.commands import FEW, all_events, lock_log
from jobs.log.projections import Versions, project
from jobs.log.projections.batch import batching
from jobs.log.scratch_database import scratch_database, state_models
from jobs.models.bases import Derived, State

MOST_SHOWN = 20
BATCH = 1000
"""Events in a batch; the end of a batch writes what they changed."""
MOST_ROWS = 3000
"""New rows that a batch holds before it writes them."""


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One row that differs between the tables and the log."""

    model: str
    key: int
    live: Mapping[str, object] | None
    folded: Mapping[str, object] | None

    def __str__(self) -> str:
        if self.live is None:
            return f"{self.model} {self.key}: in the log, missing in the tables"
        if self.folded is None:
            return f"{self.model} {self.key}: in the tables, not in the log"
        fields = [f for f in self.live if self.live[f] != self.folded[f]]
        return f"{self.model} {self.key}: " + "; ".join(
            f"{f} is {self.live[f]!r}, by the log {self.folded[f]!r}" for f in fields
        )


Progress = Callable[[int, int], None]
"""A function that gets the number of projected events and the number of all events."""


@transaction.atomic
def rebuild(progress: Progress | None = None) -> int:
    """Empty the state tables and project the whole log into them; return the number of events."""
    head = lock_log()
    for model in reversed(state_models()):
        _empty(model)
    count = _fold_all(DEFAULT_DB_ALIAS, head.seq, progress)
    projectors.refill()
    return count


@transaction.atomic
def compare(progress: Progress | None = None) -> list[Difference]:
    """Project the log into a scratch database and return the rows of state tables that differ."""
    head = lock_log()
    with scratch_database() as alias, transaction.atomic(using=alias):
        _fold_all(alias, head.seq, progress)
        return [d for model in state_models() for d in _differences(model, alias)]


def _empty(model: type[State]) -> None:
    """Delete every row of a state table, and the derived rows that belong to one."""
    for relation in model._meta.related_objects:
        if issubclass(relation.related_model, Derived):
            of_a_row = relation.related_model._default_manager.exclude(**{relation.field.name: None})
            of_a_row._raw_delete(of_a_row.db)
    rows = model._default_manager.all()
    rows._raw_delete(rows.db)


def _fold_all(alias: str, whole: int, progress: Progress | None) -> int:
    """Project every event; rows that many events change are written once for each batch."""
    count, versions = 0, Versions()
    with batching(alias) as batch:
        for event in all_events():
            project(event)
            versions.note(event)
            count += 1
            if count % BATCH == 0:
                versions.write()
                batch.write()
                if progress:
                    progress(count, whole)
            elif batch.size > MOST_ROWS:
                batch.write()
        versions.write()
    return count


def _differences(model: type[State], alias: str) -> Iterator[Difference]:
    """Yield the rows that differ, in order of their keys; few rows of each side are held at once."""
    ordered = merge(_rows(model, DEFAULT_DB_ALIAS), _rows(model, alias), key=itemgetter(0))
    for key, found in groupby(ordered, key=itemgetter(0)):
        rows = {side: row for _, side, row in found}
        live, folded = rows.get(DEFAULT_DB_ALIAS), rows.get(alias)
        if live != folded:
            yield Difference(model=model.__name__, key=key, live=live, folded=folded)


def _rows(model: type[State], alias: str) -> Iterator[tuple[int, str, Mapping[str, object]]]:
    """Yield the key, the side and the columns of every row of one side, in order of their keys."""
    for row in model._default_manager.using(alias).order_by("id").values().iterator(FEW):
        yield row["id"], alias, row
