"""Project events into notes for next time."""

from jobs.core.refs import ref
from jobs.models import Event, Note, NoteDismissal
from jobs.models.bases import row_key


def written(event: Event) -> None:
    data = event.data
    Note.objects.create(
        id=row_key(event.seq),
        template_key=data["template_key"],
        title=data["title"],
        title_ref=ref(data["own_title"]),
        owner_only=data["owner_only"],
        piece=data["piece"],
        stage=data["stage"],
        words_ref=ref(data["words"]),
        picture_ref=ref(data["picture"]),
        tags=data["tags"],
        rule=data["rule"],
        written_at=event.occurred_at,
        written_by=event.actor,
        version=event.seq,
    )


def dismissed(event: Event) -> None:
    NoteDismissal.objects.create(
        id=row_key(event.seq),
        note_id=event.data["note"],
        piece=event.data["piece"],
        dismissed_at=event.occurred_at,
        dismissed_by=event.actor,
    )


def retired(event: Event) -> None:
    note = Note.objects.get(id=event.data["note"])
    note.retired_at, note.retired_by = event.occurred_at, event.actor
    note.retired_reason_ref = ref(event.data["reason"])
    note.version = event.seq
    note.save()
