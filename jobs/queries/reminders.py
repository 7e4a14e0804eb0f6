"""Mail that could not be delivered."""

from typing import Any

from django.db.models import Q

from jobs.models import Delivery, Wait
from jobs.names import person_name

MOST_LISTED = 100


def undelivered() -> list[dict[str, Any]]:
    """Reminders that failed and are tried again, or were given up, the newest first."""
    step = Delivery.Step
    failed = Q(step__in=(step.FAILED, step.GIVEN_UP)) | Q(step=step.CLAIMED) & ~Q(error="")
    rows = list(Delivery.objects.filter(failed).order_by("-due_at", "-id")[:MOST_LISTED])
    waits = Wait.objects.select_related("stage__piece").in_bulk({row.wait_key for row in rows})
    return [
        {
            "wait": row.wait_key,
            "kind": row.kind,
            "title": waits[row.wait_key].title if row.wait_key in waits else "",
            "piece": waits[row.wait_key].stage.piece.number if row.wait_key in waits else "",
            "person": person_name(row.person),
            "due_at": row.due_at,
            "tries": row.tries,
            "next_at": row.next_at,
            "given_up": row.step == step.GIVEN_UP,
            "error": row.error,
        }
        for row in rows
    ]
