"""Supplies from the log."""

from datetime import date

from jobs.core.refs import ref
from jobs.models import Event, Supply
from jobs.models.bases import row_key


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _change(event: Event, **fields: object) -> None:
    Supply.objects.filter(id=event.data["supply"]).update(version=event.seq, **fields)


def added(event: Event) -> None:
    data = event.data
    Supply.objects.create(
        id=row_key(event.seq),
        kind=data["kind"],
        name_ref=ref(data["name"]),
        sheet=data["sheet"],
        lot=data["lot"],
        got_on=_day(data["got_on"]),
        opened_on=_day(data["opened_on"]),
        shelf_life_d=data["shelf_life_d"],
        use_by=_day(data["use_by"]),
        level=data["level"],
        version=event.seq,
    )


def opened(event: Event) -> None:
    _change(event, opened_on=_day(event.data["opened_on"]))


def level_set(event: Event) -> None:
    _change(event, level=event.data["level"])


def refilled(event: Event) -> None:
    data = event.data
    _change(
        event,
        level=Supply.Level.FULL,
        lot=data["lot"],
        got_on=_day(data["got_on"]),
        opened_on=None,
        use_by=_day(data["use_by"]),
    )


def discarded(event: Event) -> None:
    _change(event, discarded_at=event.occurred_at, reason_ref=ref(event.data["reason"]))
