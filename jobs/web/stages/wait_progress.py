"""A wait as a progress line: it fills from clamped to ready and has a soft end."""

from datetime import datetime
from typing import Any

from jobs.domain.climate.clocked_wait import TOLD_FROM
from jobs.web.pieces.figure_formatting import source_words


def drawn(wait: dict[str, Any], now: datetime) -> dict[str, Any]:
    """Return a wait view with what the drawing needs: fill, mark of ready, standing.

    The line is as long as the wait can take, or up to the closing of its window where it has one. It is soft
    from the earliest to the latest moment at which the wait can be over.
    """
    since, ready, closes = wait["since"], wait["ready_at"], wait["closes_at"]
    soonest, latest = wait["earliest_at"] or ready, wait["latest_at"] or ready
    end = max(ready, closes or latest) if ready else None
    whole = (end - since).total_seconds() if end else 0
    return {
        **wait,
        "end": end,
        "fill": _share(now, since, whole),
        "ready_mark": _share(ready, since, whole) if end else 100,
        "soft_from": _share(soonest, since, whole) if end else 100,
        "soft_to": _share(latest, since, whole) if end else 100,
        "standing": _standing(wait),
        "has_moved": _has_moved(wait),
        "cold": _cold(wait, now),
        "unsure": bool(ready and closes and closes <= ready),
        "sources": [source_words(s, {}) for s in wait["basis"].get("source", [])],
    }


def _has_moved(wait: dict[str, Any]) -> bool:
    """Return whether measured air has moved the ready time from the one first shown."""
    first, ready = wait["first_told_at"], wait["ready_at"]
    return bool(wait["measured_until"] and first and ready and abs(ready - first) >= TOLD_FROM)


def _cold(wait: dict[str, Any], now: datetime) -> str:
    """Return the cold warning that holds: "paused", "ahead", or none."""
    if wait["suspect"] or wait["is_over"]:
        return ""
    if wait["paused"]:
        return "paused"
    return "ahead" if wait["cold_at"] and wait["cold_at"] > now else ""


def _share(moment: datetime | None, since: datetime, whole: float) -> float:
    """Return the position of a moment on the line [%]."""
    if moment is None or whole <= 0:
        return 0
    return round(max(0.0, min(100.0, 100 * (moment - since).total_seconds() / whole)), 1)


def _standing(wait: dict[str, Any]) -> str:
    if wait["suspect"]:
        return "suspect"
    if wait["ready_at"] is None:
        return "untimed"
    if wait["is_missed"]:
        return "missed"
    if not wait["is_over"]:
        return "running"
    return "open" if wait["closes_at"] else "ready"
