"""Clients from the log."""

from jobs.models import Client, Event
from jobs.models.bases import row_key
from jobs.private import ref

PERSONAL = (
    "name", "email", "phone", "address", "postcode", "city", "country", "tax_id", "exempt",
)  # fmt: skip


def added(event: Event) -> None:
    data = event.data
    Client.objects.create(
        id=row_key(event.seq),
        added_at=event.occurred_at,
        version=event.seq,
        **{f"{name}_ref": ref(data[name]) for name in PERSONAL},
    )


def changed(event: Event) -> None:
    data = event.data
    Client.objects.filter(id=data["client"]).update(
        version=event.seq, **{f"{name}_ref": ref(data[name]) for name in PERSONAL if name in data}
    )
