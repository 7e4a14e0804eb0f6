"""Read the safety tasks that nobody has answered yet."""

from datetime import datetime
from typing import Any

from jobs.domain.routes.schema import CAUTION_OF, cautions
from jobs.log.private_texts import Texts, refs_of
from jobs.models import SAFETY_TASK, Channel, ReminderDue, SafetyTask


def open_safety_tasks(*, now: datetime, person: str) -> list[dict[str, Any]]:
    """Return the open tasks of every commission, ended ones too, the oldest first.

    ``due_at`` is the time to which this person snoozed the task, where they did.
    """
    tasks = list(
        SafetyTask.objects.filter(done_at=None)
        .select_related("piece__commission")
        .defer("piece__inputs", "piece__computed", "piece__changed")
    )
    texts = Texts(refs_of([row for t in tasks for row in (t.piece, t.piece.commission)]))
    due = ReminderDue.objects.filter(task__in=tasks, person=person, channel=Channel.SCREEN, kind=SAFETY_TASK)
    due_at = dict(due.values_list("task_id", "due_at")) if tasks else {}
    return [_view(task, due_at.get(task.id, task.due_at), texts, now) for task in tasks]


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
