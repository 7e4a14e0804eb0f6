"""Project events into pictures."""

from jobs.core.refs import ref
from jobs.models import Event, Picture
from jobs.models.bases import row_key


def taken(event: Event) -> None:
    data = event.data
    Picture.objects.create(
        id=row_key(event.seq),
        piece=data["piece"],
        stage=data["stage"],
        owner_only=data["owner_only"],
        picture_ref=ref(data["picture"]),
        words_ref=ref(data["words"]),
        taken_at=event.occurred_at,
        taken_by=event.actor,
    )


def removed(event: Event) -> None:
    Picture.objects.filter(id=event.data["picture"]).update(
        removed_at=event.occurred_at, removed_reason_ref=ref(event.data["reason"])
    )
