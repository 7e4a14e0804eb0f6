"""Dates outside the shop as pages, feeds and the API read them."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date, timedelta
from typing import Any

from jobs.core.command_cache import read_once
from jobs.domain.planning.appointments import TO_CLIENT
from jobs.log.private_texts import Texts
from jobs.models import Appointment, Person

Row = dict[str, Any]


def appointment_views(rows: Iterable[Appointment]) -> list[Row]:
    """Return dates with their texts and the names of those who go, in two queries."""
    found = list(rows)
    texts = Texts(
        ref
        for one in found
        for ref in (one.place_ref, one.note_ref, one.reason_ref, *_names_of(one))
        if ref is not None
    )
    people = {key for one in found for key in one.people}
    names = {person.id: str(person) for person in Person.objects.filter(id__in=people)} if people else {}
    return [_view(one, texts, names) for one in found]


def _names_of(one: Appointment) -> tuple[Any, ...]:
    return (one.commission.title_ref, one.commission.client.name_ref) if one.commission else ()


def _view(one: Appointment, texts: Texts, names: dict[str, str]) -> Row:
    commission = one.commission
    return {
        "id": one.id,
        "kind": one.kind,
        "day": one.day,
        "starts_at": one.starts_at,
        "ends_at": one.starts_at and one.starts_at + timedelta(minutes=one.minutes or 0),
        "minutes": one.minutes,
        "place": texts[one.place_ref],
        "note": texts[one.note_ref],
        "hands": one.hands,
        "people": [{"id": key, "name": names[key]} for key in one.people if key in names],
        "is_told": one.is_told,
        "step": one.step,
        "reason": texts[one.reason_ref],
        "commission": commission.number if commission else "",
        "commission_title": texts[commission.title_ref] if commission else "",
        "client": texts[commission.client.name_ref] if commission else "",
        "version": one.version,
    }


def date_view(one: Appointment, texts: Texts) -> Row:
    """Return a planned date in a line, from texts read before."""
    return {
        "id": one.id,
        "kind": one.kind,
        "day": one.day,
        "starts_at": one.starts_at,
        "hands": one.hands,
        "commission": one.commission.number if one.commission else "",
        "commission_title": texts[one.commission.title_ref] if one.commission else "",
        "place": texts[one.place_ref],
    }


@read_once("appointment_set", "appointment_changed", "appointment_ended")
def planned_dates() -> list[Appointment]:
    """Return the dates that are neither kept nor canceled, the next one first."""
    found = Appointment.objects.filter(step=Appointment.Step.PLANNED)
    return list(found.select_related("commission__client").order_by("day", "starts_at", "id"))


def planned_between(first: date, last: date) -> list[Appointment]:
    """Return the planned dates of these days."""
    return [one for one in planned_dates() if first <= one.day <= last]


def dates_by_id(names: Collection[str] | None) -> Mapping[str, Appointment]:
    """Return dates by their ids, all where none are named; planned ones as they were read before."""
    known = {str(one.id): one for one in planned_dates()}
    if names is not None and known.keys() >= set(names):
        return {name: known[name] for name in names}
    every = Appointment.objects.select_related("commission__client")
    found = every if names is None else every.filter(id__in=names)
    return {str(one.id): one for one in found}


def told_to_client(commission_id: int, today: date) -> list[Appointment]:
    """Return the coming dates that the client of a commission was told."""
    found = Appointment.objects.filter(
        commission_id=commission_id, is_told=True, kind__in=TO_CLIENT,
        step=Appointment.Step.PLANNED, day__gte=today,
    )  # fmt: skip
    return list(found.order_by("day", "starts_at", "id"))
