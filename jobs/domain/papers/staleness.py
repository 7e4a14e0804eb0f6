"""Staleness of job sheets."""

from jobs.models import Event, Paper
from jobs.models.bases import ROWS_PER_EVENT

CHANGES = ("piece_added", "piece_changed", "piece_removed", "route_changed", "stage_redone")
"""Event kinds that change a job sheet; a redone stage counts only where the piece became smaller."""


def is_stale(paper: Paper) -> bool:
    """Return whether a valid job sheet was issued before its pieces changed."""
    if paper.kind != Paper.Kind.JOB_SHEET or paper.withdrawn_at:
        return False
    since = Event.objects.filter(stream=paper.stream, seq__gt=paper.id // ROWS_PER_EVENT, kind__in=CHANGES)
    return any(e.kind != "stage_redone" or e.data["piece_now"] for e in since)
