"""Read the safety tasks that nobody has answered yet."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import OuterRef, Subquery
from django.db.models.functions import Coalesce

from jobs.domain.routes.schema import CAUTION_OF, cautions
from jobs.log.private_texts import Texts, refs_of
from jobs.models import SAFETY_TASK, Channel, ReminderDue, SafetyTask


def open_tasks(person: str) -> list[SafetyTask]:
    """Return the open tasks of every commission, ended ones too, the oldest first, in one query.

    ``due`` is the time to which this person snoozed a task, where they did.
    """
    mine = ReminderDue.objects.filter(
        task=OuterRef("pk"), person=person, channel=Channel.SCREEN, kind=SAFETY_TASK
    )
    return list(
        SafetyTask.objects.filter(done_at=None)
        .select_related("piece__commission")
        .defer("piece__inputs", "piece__computed", "piece__changed")
        .annotate(due=Coalesce(Subquery(mine.order_by("due_at").values("due_at")[:1]), "due_at"))
    )


def task_rows(tasks: Iterable[SafetyTask]) -> list[Any]:
    """Return the rows whose private texts the views of these tasks need."""
    return [row for t in tasks for row in (t.piece, t.piece.commission)]


def task_views(tasks: Iterable[SafetyTask], texts: Texts, *, now: datetime) -> list[dict[str, Any]]:
    """Return open tasks with their names."""
    return [_view(task, task.due, texts, now) for task in tasks]  # type: ignore[attr-defined]  # annotated


def open_safety_tasks(*, now: datetime, person: str) -> list[dict[str, Any]]:
    """Return the open tasks of every commission with their names."""
    tasks = open_tasks(person)
    return task_views(tasks, Texts(refs_of(task_rows(tasks))), now=now)


def _view(task: SafetyTask, due_at: datetime, texts: Texts, now: datetime) -> dict[str, Any]:
    kind, piece = SafetyTask.Kind(task.kind), task.piece
    caution = cautions()[CAUTION_OF[kind]]
    return {
        "id": task.id,
        "kind": kind.value,
        "question": kind.label,
        "piece": piece.number,
        "label": texts[piece.label_ref],
        "commission": piece.commission.number,
        "commission_title": texts[piece.commission.title_ref],
        "stage": task.stage,
        "stage_title": task.stage_title,
        "opened_at": task.opened_at,
        "due_at": due_at,
        "closing_at": task.closing_at,
        "is_due": now >= min(due_at, task.closing_at),
        "can_be_put_off": now < task.closing_at,
        "caution": {name: caution[name] for name in ("title", "text", "source")},
    }
