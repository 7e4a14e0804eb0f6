"""People's corrections of running waits, in words: another version of the sheet, another start."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.utils import timezone

from jobs.core.canonical_json import read_time
from jobs.models import Event, Wait
from jobs.models.bases import ROWS_PER_EVENT

CHANGES = ("wait_changed", "wait_start_corrected")


def correction_notes(waits: Iterable[Wait]) -> dict[int, list[str]]:
    """Return, by wait, the corrections that its log holds since its start; unchanged waits are left out."""
    running = {wait.id: wait for wait in waits}
    if not running:
        return {}
    streams = {f"commission:{wait.stage.piece.commission.number}" for wait in running.values()}
    after = min(running) // ROWS_PER_EVENT
    found: dict[str, dict[int, Any]] = {kind: {} for kind in CHANGES}
    for event in Event.objects.filter(stream__in=streams, kind__in=CHANGES, seq__gt=after).order_by("seq"):
        if event.data["wait"] in running:
            found[event.kind].setdefault(event.data["wait"], event.data)
    said: dict[int, list[str]] = defaultdict(list)
    first = _first_basis(found["wait_changed"])
    for key in found["wait_changed"]:
        said[key] += _sheet(first[key], running[key].basis)
    for key, data in found["wait_start_corrected"].items():
        said[key] += _start(read_time(data["was"]), running[key].since)
    return said


def _first_basis(changed: Iterable[int]) -> dict[int, dict[str, Any]]:
    """Return the first basis of each wait, from its start event."""
    begun = {key // ROWS_PER_EVENT: key for key in changed}
    return {begun[e.seq]: e.data["basis"] for e in Event.objects.filter(seq__in=begun)} if begun else {}


def _sheet(first: dict[str, Any], now: dict[str, Any]) -> list[str]:
    same = first.get("product") == now.get("product")
    version = now.get("sheet_version")
    return [f"by version {version} of the sheet"] if same and version != first.get("sheet_version") else []


def _start(was: datetime, since: datetime) -> list[str]:
    before, after = timezone.localtime(was), timezone.localtime(since)
    form = "%H:%M" if before.date() == after.date() else "%Y-%m-%d %H:%M"
    return [f"start corrected from {before:{form}} to {after:{form}}"] if was != since else []
