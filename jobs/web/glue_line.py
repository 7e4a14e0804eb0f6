"""A wait as it is drawn: a glue line that fills from clamped to ready, its end soft."""

from datetime import datetime
from typing import Any

from jobs.web.figures import source_words


def drawn(wait: dict[str, Any], now: datetime) -> dict[str, Any]:
    """A wait view with what the drawing needs: how full it is, where ready stands, its standing in a word.

    The line is as long as the wait, or up to the closing of its window where it has one.
    """
    since, ready, closes = wait["since"], wait["ready_at"], wait["closes_at"]
    end = closes or ready
    whole = (end - since).total_seconds() if end else 0
    return {
        **wait,
        "fill": _share(now, since, whole),
        "ready_mark": _share(ready, since, whole) if closes else 100,
        "standing": _standing(wait),
        "sources": [source_words(s) for s in wait["basis"].get("source", [])],
    }


def _share(moment: datetime | None, since: datetime, whole: float) -> float:
    """Where on the line a moment stands [%]."""
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
