"""Staleness of papers whose pieces change."""

from jobs.domain.papers.kinds import outdating_events
from jobs.models import Event, Paper
from jobs.models.bases import ROWS_PER_EVENT


def is_stale(paper: Paper) -> bool:
    """Return whether a valid paper was issued before its pieces changed.

    A redone stage counts only where the piece became smaller.
    """
    changes = outdating_events(paper.kind)
    if not changes or paper.withdrawn_at:
        return False
    since = Event.objects.filter(stream=paper.stream, seq__gt=paper.id // ROWS_PER_EVENT, kind__in=changes)
    return any(e.kind != "stage_redone" or e.data["piece_now"] for e in since)
