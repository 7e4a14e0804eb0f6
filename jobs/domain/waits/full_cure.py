"""The day from which a finish bears full use: by its wait, or by its last coat.

A client reads it, so a wait that was ended early counts until its computed end.
"""

from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from jobs.domain.waits.cut_short import cut_short
from jobs.domain.waits.route import times_of
from jobs.models import Piece, Stage, Wait

KIND = "full cure"
COATS = ("seal", "build")


def full_use(piece: Piece) -> dict[str, Any]:
    """Return ``on``, the day or None while unknown, and ``days``, the time after the last coat."""
    after_s = (piece.computed.get("finishing", {}).get("result") or {}).get("full_s")
    on = _day(piece, after_s)
    return {"on": on.isoformat() if on else None, "days": -(-after_s // 86400) if after_s else None}


def _day(piece: Piece, after_s: int | None) -> date | None:
    wait = (
        Wait.objects.filter(stage__piece=piece, kind=KIND)
        .exclude(step=Wait.Step.VOID)
        .select_related("estimate")
        .last()
    )
    if wait is not None:
        if wait.step == Wait.Step.FINISHED:
            early = [one.until for one in cut_short(piece.commission) if one.wait.id == wait.id]
            assert wait.ended_at is not None, "a finished wait has an end"
            return timezone.localdate(max([wait.ended_at, *early]))
        ready, _closes = times_of(wait)
        return timezone.localdate(ready) if ready else None
    coats = [
        s for s in Stage.objects.filter(piece=piece).order_by("position") if s.key.split("-")[0] in COATS
    ]
    if not coats or coats[-1].finished_at is None or not after_s:
        return None
    return timezone.localdate(coats[-1].finished_at + timedelta(seconds=after_s))
