"""Views of reminders that could not be delivered."""

from typing import Any

from django.db.models import Q

from jobs.domain.checks import person_name
from jobs.domain.reminders.kinds import KINDS, TASK_KINDS
from jobs.models import Delivery, SafetyTask, Wait

MOST_LISTED = 100


def undelivered() -> list[dict[str, Any]]:
    """Return the failed reminders, to be retried or given up, the newest first."""
    step = Delivery.Step
    failed = Q(step__in=(step.FAILED, step.GIVEN_UP)) | Q(step=step.CLAIMED) & ~Q(error="")
    rows = list(Delivery.objects.filter(failed).order_by("-due_at", "-id")[:MOST_LISTED])
    keys = {row.wait_key for row in rows}
    waits = Wait.objects.select_related("stage__piece").in_bulk(keys)
    tasks = SafetyTask.objects.select_related("piece").in_bulk(keys)
    titles = {key: (w.title, w.stage.piece.number) for key, w in waits.items()}
    titles |= {key: (t.get_kind_display(), t.piece.number) for key, t in tasks.items()}
    return [
        {
            "id": row.id,
            "wait": row.wait_key if not row.subject and row.kind not in TASK_KINDS else None,
            "task": row.wait_key if row.kind in TASK_KINDS else None,
            "subject": row.subject,
            "kind": row.kind,
            "channel": row.channel,
            **_named(row, titles),
            "person": person_name(row.person),
            "due_at": row.due_at,
            "tries": row.tries,
            "next_at": row.next_at,
            "given_up": row.step == step.GIVEN_UP,
            "error": row.error,
        }
        for row in rows
    ]


def _named(row: Delivery, titles: dict[int, tuple[str, str]]) -> dict[str, str]:
    """Return the title and the piece or number of the reminder's subject."""
    if row.subject:
        noun, _, name = row.subject.partition(":")
        return {
            "title": KINDS[row.kind].title if row.kind in KINDS else row.kind,
            "piece": name if noun in ("commission", "invoice") else "",
        }
    title, piece = titles.get(row.wait_key, ("", ""))
    return {"title": title, "piece": piece}
