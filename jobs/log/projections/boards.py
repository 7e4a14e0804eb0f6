"""Boards from the log."""

from decimal import Decimal

from jobs.core.canonical_json import read_time
from jobs.core.refs import ref
from jobs.models import Board, Event, MoistureReading
from jobs.models.bases import row_key

SIDES = ("thickness_len", "width_len", "length_len")


def _change(event: Event, **fields: object) -> None:
    Board.objects.filter(number=event.data["board"]).update(version=event.seq, **fields)


def added(event: Event) -> None:
    data = event.data
    Board.objects.create(
        id=row_key(event.seq),
        number=data["board"],
        species=data["species"],
        typed=data["typed"],
        price=Decimal(data["price"]) if data["price"] is not None else None,
        currency=data["currency"],
        note_ref=ref(data["note"]),
        added_at=event.occurred_at,
        version=event.seq,
        **{side: data[side] for side in SIDES},
    )


def changed(event: Event) -> None:
    """Replace what was typed of a board; leave what the event does not name."""
    data = event.data
    fields = {name: data[name] for name in ("species", "typed", "currency", *SIDES) if name in data}
    if "price" in data:
        fields["price"] = Decimal(data["price"]) if data["price"] is not None else None
    if "note" in data:
        fields["note_ref"] = ref(data["note"])
    _change(event, **fields)


def cut(event: Event) -> None:
    """What is left of a board is a board of its own, free again."""
    data = event.data
    parent = Board.objects.get(number=data["cut_from"])
    Board.objects.create(
        id=row_key(event.seq),
        number=data["board"],
        species=parent.species,
        typed=data["typed"],
        note_ref=ref(data["note"]),
        cut_from=parent.number,
        added_at=event.occurred_at,
        version=event.seq,
        **{side: data[side] for side in SIDES},
    )
    parent.version = event.seq
    parent.save()


def moisture_read(event: Event) -> None:
    data = event.data
    MoistureReading.objects.create(
        id=row_key(event.seq),
        board=Board.objects.get(number=data["board"]),
        pct=Decimal(data["pct"]),
        at=read_time(data["at"]),
        depth_len=data["depth_len"],
    )
    _change(event)


def moisture_voided(event: Event) -> None:
    MoistureReading.objects.filter(id=event.data["reading"]).update(voided=True)
    _change(event)


def reserved(event: Event) -> None:
    _change(event, step=Board.Step.RESERVED, piece=event.data["piece"])


def released(event: Event) -> None:
    _change(event, step=Board.Step.FREE, piece="")


def used(event: Event) -> None:
    _change(event, step=Board.Step.USED, piece=event.data["piece"])


def written_off(event: Event) -> None:
    _change(event, step=Board.Step.WRITTEN_OFF, piece="", reason_ref=ref(event.data["reason"]))


def free_reserved(event: Event, pieces: list[str]) -> None:
    """What pieces that will not be made had reserved is free again."""
    boards = Board.objects.filter(step=Board.Step.RESERVED, piece__in=pieces)
    boards.update(step=Board.Step.FREE, piece="", version=event.seq)
