"""Equipment from the log, and what holds it."""

from jobs.core.refs import ref
from jobs.models import Equipment, Event, Hold, Stage
from jobs.models.bases import row_key


def added(event: Event) -> None:
    data = event.data
    Equipment.objects.create(
        id=row_key(event.seq),
        kind=data["kind"],
        name_ref=ref(data["name"]),
        reach_len=data["reach_len"],
        count=data["count"],
        version=event.seq,
    )


def changed(event: Event) -> None:
    data = event.data
    fields = {name: data[name] for name in ("reach_len", "count") if name in data}
    if "name" in data:
        fields["name_ref"] = ref(data["name"])
    Equipment.objects.filter(id=data["equipment"]).update(version=event.seq, **fields)


def retired(event: Event) -> None:
    Equipment.objects.filter(id=event.data["equipment"]).update(
        version=event.seq, retired_at=event.occurred_at
    )


def taken(event: Event) -> None:
    data = event.data
    stage = Stage.objects.get(piece__number=data["piece"], key=data["stage"])
    for n, one in enumerate(data["taken"]):
        Hold.objects.create(
            id=row_key(event.seq, n),
            equipment_id=one["equipment"],
            stage=stage,
            count=one["count"],
            since=event.occurred_at,
        )


def freed(event: Event) -> None:
    data = event.data
    Hold.objects.filter(stage__piece__number=data["piece"], stage__key=data["stage"]).delete()


def free_all(pieces: list[str]) -> None:
    """Pieces that will not be made hold nothing."""
    Hold.objects.filter(stage__piece__number__in=pieces).delete()
