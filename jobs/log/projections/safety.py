"""Project events into safety tasks."""

from jobs.core.canonical_json import read_time
from jobs.core.refs import ref
from jobs.models import Event, Piece, ReminderKind, ReminderReply, SafetyTask
from jobs.models.bases import row_key


def opened(event: Event) -> None:
    data = event.data
    SafetyTask.objects.create(
        id=row_key(event.seq),
        piece=Piece.objects.get(number=data["piece"]),
        stage=data["stage"],
        stage_title=data["title"],
        kind=data["kind"],
        opened_at=event.occurred_at,
        due_at=read_time(data["due_at"]),
        closing_at=read_time(data["closing_at"]),
    )


def moved(event: Event) -> None:
    data = event.data
    SafetyTask.objects.filter(id=data["task"]).update(
        stage=data["stage"],
        stage_title=data["title"],
        due_at=read_time(data["due_at"]),
        closing_at=read_time(data["closing_at"]),
    )


def settled(event: Event) -> None:
    SafetyTask.objects.filter(id=event.data["task"]).update(
        done_at=event.occurred_at, done_by=event.actor, how_ref=ref(event.data["how"])
    )


def snoozed(event: Event) -> None:
    data = event.data
    ReminderReply.objects.create(
        id=row_key(event.seq),
        task_id=data["task"],
        kind=ReminderKind.TASK,
        person=data["person"],
        at=event.occurred_at,
        snoozed_until=read_time(data["until"]),
    )
