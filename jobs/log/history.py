"""Views of events."""

import json
from collections.abc import Iterable
from typing import Any

from jobs.core.canonical_json import time_text
from jobs.log.projections.kinds import KINDS
from jobs.models import Event, Paper, Person


def feed(*, after: int, limit: int, stream: str = "") -> list[dict[str, Any]]:
    """Return the events after a number, in order, in the form that is stored and hashed."""
    events = Event.objects.filter(seq__gt=after)
    if stream:
        events = events.filter(stream=stream)
    return [
        {
            "seq": e.seq,
            "kind": e.kind,
            "version": e.version,
            "stream": e.stream,
            "data": json.loads(e.body),
            "actor": e.actor,
            "occurred_at": time_text(e.occurred_at),
            "recorded_at": time_text(e.recorded_at),
            "command_id": str(e.command_id),
            "prev_hash": e.prev_hash,
            "hash": e.hash,
        }
        for e in events.order_by("seq")[:limit]
    ]


def without_money(events: Iterable[Event]) -> list[Event]:
    """Return the events that are not about money: no prices, payments, offers or invoices."""
    invoices = set(Paper.objects.filter(kind__in=Paper.MONEY).values_list("number", flat=True))
    return [e for e in events if not KINDS[e.kind].is_money and e.data.get("paper") not in invoices]


def told(commission: str, *, with_money: bool) -> list[dict[str, Any]]:
    """Return the history of a commission: kind, place, actor and time; without money for a maker."""
    names = {person.id: str(person) for person in Person.objects.all()}
    events: Iterable[Event] = Event.objects.filter(stream=f"commission:{commission}").order_by("seq")
    return [
        {
            "seq": event.seq,
            "kind": event.kind,
            "piece": event.data.get("piece", ""),
            "stage": event.data.get("stage", ""),
            "actor": event.actor,
            "by": names.get(event.actor, event.actor),
            "occurred_at": event.occurred_at,
            "recorded_at": event.recorded_at,
        }
        for event in (events if with_money else without_money(events))
    ]
