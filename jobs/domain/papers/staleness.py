"""Whether a job sheet at the bench still says what its pieces are."""

from jobs.models import Event, Paper
from jobs.models.bases import ROWS_PER_EVENT

CHANGES = ("piece_added", "piece_changed", "piece_removed", "route_changed", "stage_redone")
"""Kinds of events that change what a job sheet says; a stage done again only where the piece got smaller."""


def is_stale(paper: Paper) -> bool:
    """A job sheet that holds, of a commission whose pieces were changed since it was issued."""
    if paper.kind != Paper.Kind.JOB_SHEET or paper.withdrawn_at:
        return False
    since = Event.objects.filter(stream=paper.stream, seq__gt=paper.id // ROWS_PER_EVENT, kind__in=CHANGES)
    return any(e.kind != "stage_redone" or e.data["piece_now"] for e in since)
