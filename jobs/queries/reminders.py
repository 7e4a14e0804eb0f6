"""Mail that could not be delivered."""

from typing import Any

from django.db.models import Q

from jobs.models import OF_TASKS, Delivery, SafetyTask, Wait
from jobs.names import person_name

MOST_LISTED = 100


def undelivered() -> list[dict[str, Any]]:
    """Reminders that failed and are tried again, or were given up, the newest first."""
    step = Delivery.Step
    failed = Q(step__in=(step.FAILED, step.GIVEN_UP)) | Q(step=step.CLAIMED) & ~Q(error="")
    rows = list(Delivery.objects.filter(failed).order_by("-due_at", "-id")[:MOST_LISTED])
    waits = Wait.objects.select_related("stage__piece").in_bulk({row.wait_key for row in rows})
    tasks = SafetyTask.objects.select_related("piece").in_bulk({row.wait_key for row in rows})
    titles = {key: (w.title, w.stage.piece.number) for key, w in waits.items()}
    titles |= {key: (t.get_kind_display(), t.piece.number) for key, t in tasks.items()}
    return [
        {
            "wait": None if row.kind in OF_TASKS else row.wait_key,
            "task": row.wait_key if row.kind in OF_TASKS else None,
            "kind": row.kind,
            "title": titles.get(row.wait_key, ("", ""))[0],
            "piece": titles.get(row.wait_key, ("", ""))[1],
            "person": person_name(row.person),
            "due_at": row.due_at,
            "tries": row.tries,
            "next_at": row.next_at,
            "given_up": row.step == step.GIVEN_UP,
            "error": row.error,
        }
        for row in rows
    ]
