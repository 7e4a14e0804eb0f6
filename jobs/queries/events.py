"""Events as the doors show them."""

import json
from typing import Any

from jobs.canonical import time_text
from jobs.models import Event, Paper, Person

MONEY_KINDS = ("price_set", "payment_received")


def feed(*, after: int, limit: int, stream: str = "") -> list[dict[str, Any]]:
    """Events after a number in their order, in the form that is stored and hashed."""
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


def told(commission: str, *, with_money: bool) -> list[dict[str, Any]]:
    """What happened on a commission: kind, where, who and when, without what is about money for a maker."""
    invoices = set(Paper.objects.filter(kind=Paper.Kind.INVOICE).values_list("number", flat=True))
    names = {person.id: str(person) for person in Person.objects.all()}
    rows = []
    for event in Event.objects.filter(stream=f"commission:{commission}").order_by("seq"):
        data = event.data
        if not with_money and (event.kind in MONEY_KINDS or data.get("paper") in invoices):
            continue
        rows.append(
            {
                "seq": event.seq,
                "kind": event.kind,
                "piece": data.get("piece", ""),
                "stage": data.get("stage", ""),
                "actor": event.actor,
                "by": names.get(event.actor, event.actor),
                "occurred_at": event.occurred_at,
                "recorded_at": event.recorded_at,
            }
        )
    return rows
