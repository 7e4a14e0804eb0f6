"""Planned work in the calendar feeds: an entry for each stretch of the next fortnight."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from django.conf import settings

from jobs.domain.planning.published import PlannedWork
from jobs.domain.planning.publishing import current
from jobs.domain.reminders.feeds.entries import Planned, Words, line
from jobs.domain.waits.queries import what_to_do
from jobs.log.private_texts import Texts
from jobs.models import CalendarEntry, Stage

SHOWN_AHEAD, KEPT_AHEAD = timedelta(days=14), timedelta(days=16)
"""From when on work enters the feeds, and up to when work that is in them stays."""
UNSAID = timedelta(hours=1)
"""A move by less is not sent again, so that no calendar flickers."""
KIND = "work"


def planned_entries(now: datetime) -> tuple[list[Planned], dict[str, tuple[str, ...]]]:
    """Return what may stand in the feeds of planned work, and whose each is. Maybes are left out."""
    plan = current()
    work = [one for one in plan.work if _is_shown(one, now)] if plan else []
    keys = _stage_ids({one.piece for one in work})
    told = [
        (f"{KIND}:{keys[key]}-{one.part}", one) for one in work if (key := (one.piece, one.stage)) in keys
    ]
    entries = [Planned(about=about, starts_at=one.begins, ends_at=one.ends) for about, one in told]
    return entries, {about: tuple(sorted(one.people)) for about, one in told}


def _is_shown(one: PlannedWork, now: datetime) -> bool:
    return not one.maybe and one.ends > now and one.begins < now + KEPT_AHEAD


def _stage_ids(pieces: Collection[str]) -> dict[tuple[str, str], int]:
    rows = Stage.objects.filter(piece__number__in=pieces).values_list("piece__number", "key", "id")
    return {(piece, key): row for piece, key, row in rows} if pieces else {}


def steady(
    entries: Collection[Planned], kept: Mapping[str, CalendarEntry], now: datetime
) -> dict[str, Planned]:
    """Return the entries of the next fortnight by what they are about, and those that calendars have.

    Where a time moved by less than an hour, it stays as calendars have it.
    """
    known = {about: entry for about, entry in kept.items() if entry.cancelled_at is None}
    near = (one for one in entries if one.about in known or _begin(one) < now + SHOWN_AHEAD)
    return {one.about: _steady(one, known.get(one.about)) for one in near}


def _begin(one: Planned) -> datetime:
    assert one.starts_at is not None, "planned work has a begin"
    return one.starts_at


def _steady(one: Planned, entry: CalendarEntry | None) -> Planned:
    if entry is None or not entry.starts_at or not entry.ends_at or one.ends_at is None:
        return one
    near = max(abs(_begin(one) - entry.starts_at), abs(one.ends_at - entry.ends_at)) < UNSAID
    return replace(one, starts_at=entry.starts_at, ends_at=entry.ends_at) if near else one


def words_of_work(keys: Collection[str], people: Mapping[str, tuple[str, ...]]) -> dict[str, Words]:
    """Return the words of planned work, by what it is about; stages that are gone are left out."""
    ids = {key: int(key.partition("-")[0]) for key in keys}
    rows = Stage.objects.filter(id__in=set(ids.values())).select_related("piece__commission") if ids else ()
    stages = {one.id: one for one in rows}
    texts = Texts(
        ref
        for one in stages.values()
        for ref in (one.title_ref, one.piece.label_ref, one.piece.commission.title_ref)
    )
    return {
        f"{KIND}:{key}": _words(stages[row], texts, people.get(f"{KIND}:{key}", ()))
        for key, row in ids.items()
        if row in stages
    }


def _words(stage: Stage, texts: Texts, people: tuple[str, ...]) -> Words:
    piece = stage.piece
    return Words(
        summary=line(f"{piece.number} {what_to_do(stage, texts)}"),
        description=line(f"{texts[piece.label_ref]}, {texts[piece.commission.title_ref]}")
        + "\nBy the plan. It moves as work goes on.",
        link=f"{settings.PUBLIC_URL}/pieces/{piece.number}/stages/{stage.key}/",
        owner_only=bool(stage.spec["owner_only"]),
        people=people,
    )
