"""Waits that a person ended early.

The override lets the maker go on and the event keeps its reason. It dries nothing, so a client still reads
the computed time.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from jobs.log.projections.kinds import payload_of
from jobs.log.projections.waits import WaitFinished
from jobs.models import Commission, Event, Wait


@dataclass(frozen=True, kw_only=True)
class CutShort:
    """A wait that was ended early, and its computed end."""

    wait: Wait
    until: datetime


def cut_short(commission: Commission) -> list[CutShort]:
    """Return the waits of a commission that were ended before their computed time, oldest first."""
    stream = f"commission:{commission.number}"
    events = map(payload_of, Event.objects.filter(stream=stream, kind="wait_finished"))
    ended = {event.wait: event.ready_at_told for event in events if isinstance(event, WaitFinished)}
    waits = Wait.objects.filter(id__in=ended, step=Wait.Step.FINISHED).select_related("stage__piece")
    found = []
    for wait in waits.order_by("since", "id"):
        until = _computed(wait, ended[wait.id])
        if until is not None and wait.ended_at is not None and wait.ended_at < until:
            found.append(CutShort(wait=wait, until=until))
    return found


def _computed(wait: Wait, told: datetime | None) -> datetime | None:
    """Return the ready time that was last told before a wait ended, else the one of its start."""
    if told is not None:
        return told
    return wait.since + timedelta(seconds=wait.ready_s) if wait.ready_s is not None else None
