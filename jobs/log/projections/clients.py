"""Project events into clients."""

from jobs.core.refs import FORGOTTEN_CLIENT, ref
from jobs.models import Client, Event, Paper
from jobs.models.bases import row_key
from jobs.models.papers import GONE

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


def forgotten(event: Event) -> None:
    """Remove the references to personal texts, and to the content of the named papers."""
    data = event.data
    nothing = dict.fromkeys(f"{name}_ref" for name in PERSONAL) | {"name_ref": FORGOTTEN_CLIENT}
    Client.objects.filter(id=data["client"]).update(version=event.seq, **nothing)
    Paper.objects.filter(number__in=data["papers"]).update(frozen_ref=GONE, file_sha256="")
