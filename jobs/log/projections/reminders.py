"""Project events into replies to reminders."""

from jobs.core.canonical_json import read_time
from jobs.models import Event, ReminderReply
from jobs.models.bases import row_key


def replied(event: Event) -> None:
    data = event.data
    ReminderReply.objects.create(
        id=row_key(event.seq),
        wait_id=data["wait"],
        subject=data["subject"],
        occasion=data["occasion"],
        kind=data["kind"],
        person=data["person"],
        at=event.occurred_at,
        snoozed_until=read_time(data["until"]) if data.get("until") else None,
    )
