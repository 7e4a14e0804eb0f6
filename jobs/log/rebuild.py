"""Rebuild the state tables from the log, or project the log into a scratch database and compare."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from jobs.log import projectors
from jobs.log.commands import all_events, lock_log
from jobs.log.projections import Versions, project, rows
from jobs.log.scratch_database import scratch_database, state_models
from jobs.models.bases import State

MOST_SHOWN = 20
BATCH = 1000
"""Events in a batch; the end of a batch writes what they changed."""


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One row that differs between the tables and the log."""

    model: str
    key: int
    live: dict[str, Any] | None
    folded: dict[str, Any] | None

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
        model._default_manager.all().delete()
    count = _fold_all(head.seq, progress)
    projectors.refill()
    return count


@transaction.atomic
def compare(progress: Progress | None = None) -> list[Difference]:
    """Project the log into a scratch database and return the rows of state tables that differ."""
    head = lock_log()
    with scratch_database() as alias, transaction.atomic(using=alias):
        _fold_all(head.seq, progress)
        folded = {model: _rows(model) for model in state_models()}
    return [d for model in state_models() for d in _differences(model, _rows(model), folded[model])]


def _fold_all(whole: int, progress: Progress | None) -> int:
    """Project every event; rows that many events change are written once for each batch."""
    count, versions = 0, Versions()
    with rows.batching() as batch:
        for event in all_events():
            project(event)
            versions.note(event)
            count += 1
            if count % BATCH == 0:
                batch.write()
                versions.write()
                if progress:
                    progress(count, whole)
    versions.write()
    return count


def _rows(model: type[State]) -> dict[int, dict[str, Any]]:
    return {row["id"]: row for row in model._default_manager.order_by("id").values()}


def _differences(
    model: type[State], live: dict[int, dict[str, Any]], folded: dict[int, dict[str, Any]]
) -> list[Difference]:
    return [
        Difference(model=model.__name__, key=key, live=live.get(key), folded=folded.get(key))
        for key in sorted(live.keys() | folded.keys())
        if live.get(key) != folded.get(key)
    ]
